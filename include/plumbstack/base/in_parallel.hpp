// The items of one loop on all cores.
#pragma once

#include <opencv2/core/utility.hpp>

namespace plumbstack {

/// Calls `work(i)` for each i from 0 to count - 1, in any order and on several threads at a time;
/// what it writes must be its own item's.
template <typename Work>
void in_parallel(std::size_t count, const Work& work) {
  cv::parallel_for_({0, static_cast<int>(count)}, [&](const cv::Range& some) {
    for (int i = some.start; i < some.end; ++i) work(static_cast<std::size_t>(i));
  });
}

}  // namespace plumbstack
