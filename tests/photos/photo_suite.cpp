// Checks every bundled stack, plain and in variants, and holds each folder against its budget.
//
//   photo_suite [--measure] [FOLDER]      FOLDER such as fl-0142: that one alone
//
// A check is correct where its verdict is fair, no reading that is trusted is wrong and no fault is
// stated that the truth does not have. A needless retake is unsure. A `pass` that is not fair is an
// escape and never allowed. --measure prints the table of budgets for the present version.
#include <algorithm>
#include <cstdio>
#include <opencv2/imgcodecs.hpp>

#include "files.hpp"
#include "suite.hpp"

namespace plumbstack::suite {
namespace {

const std::filesystem::path kSource = PLUMBSTACK_SOURCE_DIR;

struct Wish {
  bool measure = false;
  std::string folder;  // empty = all
};

PhotoRequest request(const PhotoTruth& photo, const Pack& pack, const std::string& variant,
                     const test::ScratchFolder& scratch) {
  PhotoRequest request{photo.file, photo.side, std::nullopt};
  if (variant != "plain") {
    request.file = scratch.path() / (photo.side + "." + variant + ".jpg");
    cv::imwrite(request.file, varied(cv::imread(photo.file), variant),
                {cv::IMWRITE_JPEG_QUALITY, jpeg_quality(variant)});
  }
  // Numbers tell which edge slot 1 is at; where a side has none the user says it.
  const Side* side = pack.side(photo.side);
  if (side && side->number) return request;
  const nlohmann::json truth = varied(photo.truth, variant);
  for (const Edge edge : {Edge::top, Edge::bottom, Edge::left, Edge::right})
    if (truth.value("slot_1_at", "") == name_of(edge)) request.slot_1_at = edge;
  return request;
}

Result<std::vector<Checked>> check_bucket(const Bucket& bucket, Nets& nets) {
  const Result<Pack> pack = load_pack(bucket.pack_file);
  if (!pack) return tl::unexpected(pack.error());
  const test::ScratchFolder scratch;
  std::vector<Checked> all;
  for (const char* variant : kVariants) {
    std::vector<PhotoRequest> requests;
    for (const PhotoTruth& photo : bucket.photos)
      requests.push_back(request(photo, *pack, variant, scratch));
    const Result<Check> check = check_stack(*pack, requests, nets);
    if (!check) return tl::unexpected(check.error());
    const std::vector<Checked> checked = compare(bucket, variant, *check);
    all.insert(all.end(), checked.begin(), checked.end());
  }
  return all;
}

void tell(const Bucket& bucket, const std::vector<Checked>& checked, const Tally& sum) {
  static constexpr const char* kNames[] = {"correct", "unsure", "WRONG", "ESCAPE"};
  for (const Checked& one : checked)
    if (one.outcome != Outcome::correct)
      std::fprintf(stderr, "%s/%s %s: %s: %s\n", bucket.name.c_str(), one.photo.c_str(),
                   one.variant.c_str(), kNames[static_cast<int>(one.outcome)], one.why.c_str());
  std::fprintf(stderr, "%s: %d checks, %d correct, %d unsure, %d wrong, %d escapes, %d either\n",
               bucket.name.c_str(), sum.checks, sum.correct, sum.unsure, sum.wrong, sum.escapes,
               sum.either);
}

const Budget* budget_of(const std::string& bucket) {
  for (const Budget& budget : budgets())
    if (budget.bucket == bucket) return &budget;
  return nullptr;
}

void print_row(const Bucket& bucket, const Tally& sum) {
  const Budget* old = budget_of(bucket.name);
  std::printf("    {\"%s\", %d, %d, %d, \"%s\"},\n", bucket.name.c_str(), sum.checks, sum.correct,
              sum.wrong, sum.wrong > 0 && old ? old->why : "");
}

std::vector<std::string> run(const Wish& wish) {
  Collected found = collect({kSource / "sample_images", kSource / "tests" / "photos"});
  std::vector<std::string> complaints = std::move(found.complaints);
  if (!wish.measure)
    for (std::string& c : compare_table(budgets(), eithers(), found.buckets))
      complaints.push_back(std::move(c));
  Result<Nets> nets = load_nets(kSource / "models" / "nets");
  if (!nets) return {nets.error().message};
  int photos = 0;
  for (const Bucket& bucket : found.buckets) {
    if (!wish.folder.empty() && bucket.name != wish.folder) continue;
    const Result<std::vector<Checked>> checked = check_bucket(bucket, *nets);
    if (!checked) {
      complaints.push_back(bucket.name + ": " + checked.error().message);
      continue;
    }
    photos += static_cast<int>(bucket.photos.size());
    const Tally sum = tally(bucket.name, eithers(), *checked);
    tell(bucket, *checked, sum);
    if (wish.measure) print_row(bucket, sum);
    if (wish.measure && sum.escapes > 0) complaints.push_back(bucket.name + ": an escape");
    if (const Budget* budget = budget_of(bucket.name); budget && !wish.measure)
      for (std::string& c : hold_against(*budget, sum)) complaints.push_back(std::move(c));
  }
  if (photos == 0)
    complaints.push_back(wish.folder.empty() ? "no photo was checked"
                                             : "no photos in a folder " + wish.folder);
  return complaints;
}

}  // namespace
}  // namespace plumbstack::suite

int main(int argc, char** argv) {
  plumbstack::suite::Wish wish;
  for (int i = 1; i < argc; ++i)
    if (std::string(argv[i]) == "--measure")
      wish.measure = true;
    else if (argv[i][0] == '-' || !wish.folder.empty())
      return std::fputs("usage: photo_suite [--measure] [FOLDER]\n", stderr), 64;
    else
      wish.folder = argv[i];
  const std::vector<std::string> complaints = plumbstack::suite::run(wish);
  for (const std::string& complaint : complaints)
    std::fprintf(stderr, "FAILED %s\n", complaint.c_str());
  return complaints.empty() ? 0 : 1;
}
