// What the benchmark works on: a bundled sample at some size, taken through the path once.
#pragma once

#include <cstdint>
#include <vector>

#include "plumbstack/check_stack.hpp"
#include "plumbstack/read_marks.hpp"

namespace plumbstack::speed {

/// What each stage takes and gives.
struct Input {
  std::vector<std::uint8_t> jpeg;
  Photo photo;
  FoundStack found;
  UnorientedMarks read;
  SideEvidence evidence;
  Check check;
};

struct Bench {
  Pack pack;
  const Side* side = nullptr;
  Nets nets;
};

/// Pack and networks; ends the program with a message where they are missing.
Bench& bench();
/// The sample at that size, made once. Ends the program where no stack is found in it.
const Input& input_at(int megapixels);

}  // namespace plumbstack::speed
