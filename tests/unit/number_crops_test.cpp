// Training crops of the number reader: labels that say what is drawn, the same again from the same
// seed, and no turned number that would read as a number that way, too.
#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>

#include "crop.hpp"
#include "crop_plan.hpp"

namespace {

using scene::CropKind;
using scene::CropPlan;
using scene::Dice;

const std::filesystem::path kTools =
    std::filesystem::path(PLUMBSTACK_SOURCE_DIR) / "tools/scene_maker";

class NumberCrops : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = std::filesystem::temp_directory_path() / ("crops_test_" + std::to_string(getpid()));
    const std::string command = (kTools / "collect_fonts").string() + " " + folder_.string() +
                                " > " + folder_.string() + ".log";
    ASSERT_EQ(std::system(command.c_str()), 0);
    shop_ =
        std::make_unique<scene::LetteringShop>(folder_, kTools / "assets/handwriting.bin", false);
  }
  static void TearDownTestSuite() {
    shop_.reset();
    std::filesystem::remove_all(folder_);
    std::filesystem::remove(folder_.string() + ".log");
  }
  static inline std::filesystem::path folder_;
  static inline std::unique_ptr<scene::LetteringShop> shop_;
};

TEST_F(NumberCrops, AreWholeAndLabelled) {
  int numbers = 0, hard = 0;
  for (std::uint64_t seed = 0; seed < 400; ++seed) {
    Dice dice(seed);
    const scene::Crop crop = scene::draw_crop(*shop_, shop_->any_writer(dice), dice);
    ASSERT_EQ(crop.pixels.size(), cv::Size(96, 48));
    ASSERT_EQ(crop.pixels.type(), CV_8U);
    ASSERT_LE(crop.label[0], 4);
    for (std::size_t i = 0; i < 4; ++i) EXPECT_EQ(crop.label[1 + i] < 10, i < crop.label[0]);
    EXPECT_EQ(crop.label[0] > 0, crop.label[5] < 16);
    EXPECT_EQ(crop.label[7], 0);
    numbers += crop.label[0] > 0;
    hard += crop.label[6];
  }
  EXPECT_NEAR(numbers, 352, 30);  // 88 %
  EXPECT_LT(hard, 60);
}

TEST_F(NumberCrops, AreTheSameAgainFromTheSameSeed) {
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    Dice one(seed), two(seed);
    const scene::Crop a = scene::draw_crop(*shop_, shop_->any_writer(one), one),
                      b = scene::draw_crop(*shop_, shop_->any_writer(two), two);
    EXPECT_EQ(a.label, b.label);
    EXPECT_EQ(cv::norm(a.pixels, b.pixels, cv::NORM_INF), 0);
  }
}

TEST(CropPlan, TurnsOnlyWhatIsNoNumberThatWay) {
  Dice dice(2);
  int turned = 0;
  for (int i = 0; i < 20000; ++i) {
    const CropPlan plan = scene::plan_crop(dice);
    EXPECT_EQ(plan.turn != 0,
              plan.kind == CropKind::upside_down || plan.kind == CropKind::sideways);
    if (plan.turn == 0) continue;
    ++turned;
    const char* rest = plan.turn == 2 ? "347" : "2345679";
    EXPECT_NE(plan.text.find_first_of(rest), std::string::npos) << plan.text;
  }
  EXPECT_GT(turned, 300);
}

TEST(CropPlan, LengthsAreAsAsked) {
  Dice dice(4);
  std::array<int, 5> of_length{};
  for (int i = 0; i < 10000; ++i) ++of_length[scene::any_number(dice).size()];
  EXPECT_NEAR(of_length[1] + of_length[2], 7900, 150);
  EXPECT_NEAR(of_length[3], 1000, 120);
  EXPECT_NEAR(of_length[4], 1100, 120);
}

TEST(CropPlan, WordsAreNoNumbers) {
  Dice dice(5);
  for (int i = 0; i < 2000; ++i) {
    const std::string word = scene::any_word(dice);
    EXPECT_NE(word.find_first_not_of("0123456789"), std::string::npos) << word;
  }
}

TEST(CropLabel, HoldsDigitsOnlyForNumbers) {
  EXPECT_EQ(scene::label_of({"307", CropKind::stamp, 0}, false),
            (std::array<unsigned char, 8>{3, 3, 0, 7, 10, 5, 0, 0}));
  EXPECT_EQ(scene::label_of({"34", CropKind::upside_down, 2}, true),
            (std::array<unsigned char, 8>{0, 10, 10, 10, 10, 17, 1, 0}));
}

}  // namespace
