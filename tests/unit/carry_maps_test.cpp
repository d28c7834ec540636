// What a map shows stands at the same place of the photo, whichever view its millimetres are of.
#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

FaceMaps maps_with_a_peak(cv::Point2d at_mm) {
  FaceMaps maps{{-40, -60}, 0.625, {}};
  cv::Mat plane(300, 200, CV_32F, cv::Scalar(0));
  const cv::Point2d at = maps.pixel_of(at_mm);
  for (int y = 0; y < plane.rows; ++y)
    for (int x = 0; x < plane.cols; ++x) {
      const double d = cv::norm(at - cv::Point2d(x, y));
      plane.at<float>(y, x) = static_cast<float>(0.9 * std::exp(-d * d / (2 * 1.5 * 1.5)));
    }
  maps.planes.assign(kFacePlanes, plane);
  return maps;
}

TEST(CarriedMaps, APeakStaysWhereItIsInThePhoto) {
  PlaneView made_by;
  made_by.photo_from_stack = cv::Matx33d(3.1, 0.2, 300, -0.1, 3.0, 250, 1e-4, 5e-5, 1);
  made_by.centre = {700, 900}, made_by.half_diagonal = 1140, made_by.k1 = -0.03;
  PlaneView fitted = made_by;  // begins one module later, and is a little slanted
  fitted.photo_from_stack =
      made_by.photo_from_stack * cv::Matx33d(1.01, 0.004, 1.3, -0.006, 0.99, 20, 0, 0, 1);
  const cv::Point2d at(70, 200);
  const FaceMaps carried_maps = carried(maps_with_a_peak(at), made_by, fitted);
  ASSERT_EQ(carried_maps.planes.size(), std::size_t(kFacePlanes));
  double height = 0;
  cv::Point where;
  cv::minMaxLoc(carried_maps.plane(FacePlane::vent), nullptr, &height, nullptr, &where);
  const cv::Point2d found = carried_maps.stack_of(cv::Point2d(where)),
                    wanted = fitted.to_stack(made_by.to_photo(at));
  EXPECT_GT(cv::norm(wanted - at), 15);
  EXPECT_LT(cv::norm(found - wanted), 1 / carried_maps.px_per_mm);
  EXPECT_GT(height, 0.8);
  EXPECT_LE(height, 1);
}

}  // namespace
}  // namespace plumbstack
