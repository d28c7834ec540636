// What the face network would say of an empty side of plain_frame.hpp's size, and marks on it.
#pragma once

#include <algorithm>
#include <cmath>

#include "plumbstack/face_maps.hpp"

namespace plumbstack {

inline FaceMaps empty_maps() {
  FaceMaps maps{{-20, -20}, 0.625, {}};
  for (int k = 0; k < kFacePlanes; ++k)
    maps.planes.push_back(cv::Mat::zeros(cv::Size(150, 125), CV_32F));
  return maps;
}

inline void add_peak(FaceMaps& maps, FacePlane which, cv::Point2d mm, double height) {
  cv::Mat& plane = maps.planes[static_cast<std::size_t>(which)];
  const cv::Point2d at = maps.pixel_of(mm);
  for (int y = 0; y < plane.rows; ++y)
    for (int x = 0; x < plane.cols; ++x) {
      const double d = cv::norm(at - cv::Point2d(x, y));
      float& cell = plane.at<float>(y, x);
      cell = std::max(cell, static_cast<float>(height * std::exp(-d * d / 8)));
    }
}

}  // namespace plumbstack
