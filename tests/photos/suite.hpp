// The photo suite: every bundled stack is checked as a user would check it, plain and in variants,
// against the truth beside each photo. See photo_suite.cpp for what counts.
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>
#include <span>
#include <string>
#include <vector>

#include "plumbstack/check_stack.hpp"

namespace plumbstack::suite {

/// One folder of photos, and what the present version makes of it in all variants together.
struct Budget {
  const char* bucket;    // folder's name
  int checks;            // (photos + 1 for the whole stack) x variants
  int min_correct;       // neither fewer nor more: a change is a new budget in the same commit
  int max_wrong;         // false alarms and trusted readings that are wrong
  const char* why = "";  // of max_wrong, where it isn't 0
};

/// A check that comes out one way on one machine and another way on the next: run, held against
/// escapes, and counted as nothing.
struct Either {
  const char* bucket;
  const char* photo;  // side, or "stack"
  const char* variant;
  const char* why;
};

std::span<const Budget> budgets();
std::span<const Either> eithers();

// --- what is there

struct PhotoTruth {
  std::string side;
  std::filesystem::path file;
  nlohmann::json truth;
};

struct Bucket {
  std::string name;
  std::filesystem::path pack_file;
  std::vector<PhotoTruth> photos;  // by name
};

/// Every folder of the roots that holds photos, by name, with a complaint for each photo without
/// truth, each truth without photo, and each folder without a pack definition.
struct Collected {
  std::vector<Bucket> buckets;
  std::vector<std::string> complaints;
};
Collected collect(const std::vector<std::filesystem::path>& roots);

/// Complaints where table and folders don't name the same buckets, or one `either` names no check.
std::vector<std::string> compare_table(std::span<const Budget> table,
                                       std::span<const Either> either,
                                       const std::vector<Bucket>& buckets);

// --- variants

inline constexpr const char* kVariants[] = {"plain", "darker", "recompressed", "turned"};

/// The photo as another lamp, a messenger or a camera held upside down gives it.
cv::Mat varied(const cv::Mat& bgr, const std::string& variant);
int jpeg_quality(const std::string& variant);
/// The truth that goes with it: turned by half a turn slot 1 is at the opposite edge, which is a
/// fault of its own where the pack has slot 1 up.
nlohmann::json varied(const nlohmann::json& truth, const std::string& variant);

// --- what came out

enum class Outcome { correct, unsure, wrong, escape };

struct Checked {
  std::string photo;  // side, or "stack"
  std::string variant;
  Outcome outcome = Outcome::unsure;
  std::string why;  // what is wrong with it; empty where correct
};

/// One outcome a photo and one for the stack, from one check of all its photos.
std::vector<Checked> compare(const Bucket& bucket, const std::string& variant, const Check& check);

struct Tally {
  int checks = 0, correct = 0, unsure = 0, wrong = 0, escapes = 0, either = 0;
};
Tally tally(const std::string& bucket, std::span<const Either> either,
            const std::vector<Checked>& checked);
/// Complaints where the bucket is not exactly as its budget says, better or worse.
std::vector<std::string> hold_against(const Budget& budget, const Tally& tally);

}  // namespace plumbstack::suite
