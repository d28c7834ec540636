// What the fit starts from: views of right proportions, and the lines of the strips' ends.
#include <gtest/gtest.h>

#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

const cv::Size2d kSide(240, 400);

Photo photo_of(cv::Size size) {
  Photo photo;
  photo.pixels = cv::Mat(size, CV_8UC3, cv::Scalar::all(90));
  return photo;
}

// A camera of focal length f px that looks at the side's middle, turned about the strips'
// direction.
PlaneView camera_view(const Photo& photo, double f, double slant_deg) {
  const double a = slant_deg * CV_PI / 180;
  PlaneView view;
  view.centre = {(photo.pixels.cols - 1) / 2.0, (photo.pixels.rows - 1) / 2.0};
  view.half_diagonal = std::hypot(photo.pixels.cols, photo.pixels.rows) / 2;
  const cv::Matx33d camera(f, 0, view.centre.x, 0, f, view.centre.y, 0, 0, 1);
  const cv::Matx33d plane(1, 0, 0, 0, std::cos(a), 0, 0, std::sin(a), 900);
  const cv::Matx33d from_corner(1, 0, -kSide.width / 2, 0, 1, -kSide.height / 2, 0, 0, 1);
  view.photo_from_stack = camera * plane * from_corner;
  view.photo_from_stack = view.photo_from_stack * (1 / view.photo_from_stack(2, 2));
  return view;
}

TEST(Camera, StandsWhereItWasPutAndSeesWhatRisesFurtherOff) {
  const Photo photo = photo_of({1500, 2000});
  for (const double slant : {0.0, 15.0, 30.0}) {
    const double a = slant * CV_PI / 180;
    const PlaneView view = camera_view(photo, 2000, slant);
    const cv::Point3d camera = camera_over(photo, view);
    EXPECT_NEAR(camera.x, 120, 1e-6);
    EXPECT_NEAR(camera.y, 200 - 900 * std::sin(a), 1e-6);
    EXPECT_NEAR(camera.z, 900 * std::cos(a), 1e-6);
    // The tip of a stud 20 mm high, projected in full.
    const cv::Point2d foot(30, 320);
    const double x = foot.x - 120, y = (foot.y - 200) * std::cos(a) + 20 * std::sin(a),
                 z = (foot.y - 200) * std::sin(a) - 20 * std::cos(a) + 900;
    const cv::Point2d seen = view.to_stack(view.centre + cv::Point2d(2000 * x / z, 2000 * y / z));
    const cv::Point2d told = foot + (foot - cv::Point2d(camera.x, camera.y)) * 20 / (camera.z - 20);
    EXPECT_LT(cv::norm(seen - told), 1e-6) << slant;
  }
}

double furthest_corner(const PlaneView& a, const PlaneView& b) {
  double most = 0;
  for (const cv::Point2d corner :
       {cv::Point2d(0, 0), {kSide.width, 0}, {0, kSide.height}, {kSide.width, kSide.height}})
    most = std::max(most, cv::norm(a.to_photo(corner) - b.to_photo(corner)));
  return most;
}

TEST(MetricViews, ATrueViewHasRightProportionsAndIsTakenAsItIs) {
  const Photo photo = photo_of({1500, 2000});
  for (const double slant : {0.0, 15.0, 30.0}) {
    const PlaneView view = camera_view(photo, 2000, slant);
    EXPECT_NEAR(proportions_of(photo, view, kSide), 1, 1e-9);
    EXPECT_EQ(metric_views(photo, view, kSide).size(), 1U);
  }
}

TEST(MetricViews, AViewThatTookTheNextSideAlongIsCutBackToTheTrueOne) {
  const Photo photo = photo_of({1500, 2000});
  const PlaneView view = camera_view(photo, 2000, 20);
  PlaneView wide = view;  // the strip's 240 mm cover half as much again, to the right
  wide.photo_from_stack = view.photo_from_stack * cv::Matx33d(1.5, 0, 0, 0, 1, 0, 0, 0, 1);
  const std::vector<PlaneView> views = metric_views(photo, wide, kSide);
  ASSERT_GT(views.size(), 1U);
  double nearest = 1e9;
  for (const PlaneView& one : views) nearest = std::min(nearest, furthest_corner(one, view));
  EXPECT_GT(furthest_corner(wide, view), 100);
  EXPECT_LT(nearest, 12);
}

FaceMaps maps_with_ends(double intercept, double slope) {
  FaceMaps maps;
  maps.origin_mm = {-60, -30}, maps.px_per_mm = 0.625;
  maps.planes.assign(kFacePlanes, cv::Mat());
  for (cv::Mat& plane : maps.planes) plane = cv::Mat::zeros(320, 240, CV_32F);
  cv::Mat& ends = maps.planes[static_cast<std::size_t>(FacePlane::left_end)];
  for (int y = 0; y < ends.rows; ++y)
    for (int x = 0; x < ends.cols; ++x) {
      const cv::Point2d mm = maps.stack_of({double(x), double(y)});
      const double off = (mm.x - intercept - slope * mm.y) / 1.6;
      ends.at<float>(y, x) = static_cast<float>(0.9 * std::exp(-0.5 * off * off));
    }
  return maps;
}

std::vector<Interval> intervals(int count) {
  std::vector<Interval> strips;
  for (int i = 0; i < count; ++i) {
    Interval one;
    one.top = 20.0 * i, one.bottom = one.top + 20;
    strips.push_back(one);
  }
  return strips;
}

TEST(EndLines, FindsALeaningLineAwayFromWhereItWasBelieved) {
  const FaceMaps maps = maps_with_ends(14, -0.05);
  const EndLine found = find_end_line(maps, intervals(20), true, 0);
  EXPECT_NEAR(found.line.at(200), 14 - 0.05 * 200, 1.6);
  EXPECT_NEAR(found.line.slope, -0.05, 0.012);
  EXPECT_GT(found.strength, 0.6);
}

TEST(EndLines, FewModulesThatStandOutDoNotBendIt) {
  FaceMaps maps = maps_with_ends(0, 0);
  cv::Mat& ends = maps.planes[static_cast<std::size_t>(FacePlane::left_end)];
  const int from = static_cast<int>(maps.pixel_of({0, 100}).y),
            to = static_cast<int>(maps.pixel_of({0, 160}).y);
  const cv::Mat band = ends.rowRange(from, to).clone();
  ends.rowRange(from, to).setTo(0);
  band.colRange(0, band.cols - 8).copyTo(ends.rowRange(from, to).colRange(8, band.cols));
  const EndLine found = find_end_line(maps, intervals(20), true, 5);
  EXPECT_NEAR(found.line.at(200), 0, 3.2);  // cells of 1.6 mm, and one to either side counts
}

TEST(EndLines, WhereNothingIsSeenTheLineHasNoStrength) {
  const FaceMaps maps = maps_with_ends(500, 0);
  EXPECT_EQ(find_end_line(maps, intervals(20), true, 0).strength, 0);
}

}  // namespace
}  // namespace plumbstack
