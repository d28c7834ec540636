// The scene maker's lettering: what is drawn is there, of the size asked, the same again from the
// same seed; the held-out hands stay apart from those that training sees.
#include "lettering.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <cmath>
#include <cstdlib>
#include <opencv2/imgproc.hpp>
#include <set>

#include "strokes.hpp"

namespace {

using scene::BankPart;
using scene::Dice;
using scene::DigitBank;
using scene::LetteringKind;
using scene::LetteringShop;

const std::filesystem::path kTools =
    std::filesystem::path(PLUMBSTACK_SOURCE_DIR) / "tools/scene_maker";
const std::filesystem::path kHands = kTools / "assets/handwriting.bin";
constexpr LetteringKind kKinds[] = {LetteringKind::handwritten, LetteringKind::printed,
                                    LetteringKind::stencilled, LetteringKind::stamped,
                                    LetteringKind::small_print};

class Lettering : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ =
        std::filesystem::temp_directory_path() / ("lettering_test_" + std::to_string(getpid()));
    const std::string command = (kTools / "collect_fonts").string() + " " + folder_.string() +
                                " > " + folder_.string() + ".log";
    ASSERT_EQ(std::system(command.c_str()), 0);
    shop_ = std::make_unique<LetteringShop>(folder_, kHands, false);
  }
  static void TearDownTestSuite() {
    shop_.reset();
    std::filesystem::remove_all(folder_);
    std::filesystem::remove(folder_.string() + ".log");
  }
  static inline std::filesystem::path folder_;
  static inline std::unique_ptr<LetteringShop> shop_;
};

TEST_F(Lettering, DrawsEveryKindAndSaysWhich) {
  Dice dice(3);
  for (const LetteringKind kind : kKinds)
    for (int i = 0; i < 30; ++i) {
      const scene::Lettering made = shop_->letter(std::to_string(i), 40, kind, dice);
      ASSERT_FALSE(made.alpha.empty()) << made.style;
      EXPECT_EQ(made.alpha.type(), CV_8U);
      EXPECT_GT(cv::countNonZero(made.alpha > 80), 20) << made.style << " " << i;
    }
  EXPECT_EQ(shop_->letter("1", 40, LetteringKind::stamped, dice).style, "stamp");
  EXPECT_EQ(shop_->letter("1", 40, LetteringKind::stencilled, dice).style, "stencil");
  EXPECT_EQ(shop_->letter("1", 40, LetteringKind::printed, dice).style.substr(0, 5), "font:");
}

TEST_F(Lettering, AHandWritesADigitMuchTheSameEachTime) {
  Dice dice(11);
  const auto apart = [&](const scene::Writer& one, const scene::Writer& two) {
    cv::Mat a = shop_->draw("4", 40, one, dice), b = shop_->draw("4", 40, two, dice);
    cv::resize(a, a, {28, 28}), cv::resize(b, b, {28, 28});
    return cv::norm(a, b, cv::NORM_L1) / 28 / 28;
  };
  const auto by_hand = [&] {
    scene::Writer w;
    do {
      w = shop_->any_writer(dice);
    } while (w.hand != scene::Hand::real_digits);
    return w;
  };
  double same = 0, others = 0;
  for (int i = 0; i < 60; ++i) {
    const scene::Writer one = by_hand(), two = by_hand();
    same += apart(one, one) / 60, others += apart(one, two) / 60;
  }
  EXPECT_LT(same, 0.75 * others);
}

TEST_F(Lettering, IsOfTheHeightAskedFor) {
  Dice dice(5);
  scene::Writer steady;
  steady.own = steady.wander = 0;
  steady.shape.shake = 0;
  for (const double height : {12.0, 40.0, 120.0}) {
    // The pen's width stands out half above and half below the skeleton.
    const double expected = height * (1 + steady.pen.width) + 4;
    EXPECT_NEAR(shop_->draw("8", height, steady, dice).rows, expected, 0.08 * height + 2);
    scene::Writer printed;
    printed.hand = scene::Hand::font;
    for (printed.font = 0; printed.font < shop_->fonts().size(); ++printed.font)
      EXPECT_NEAR(shop_->draw("0", height, printed, dice).rows, height + 4, 0.05 * height + 2)
          << shop_->fonts().name(printed.font);
    scene::Writer real = steady;
    real.hand = scene::Hand::real_digits;
    EXPECT_NEAR(shop_->draw("3", height, real, dice).rows, height + 4, 0.2 * height + 2);
  }
}

TEST_F(Lettering, IsTightAroundTheInk) {
  Dice dice(6);
  scene::Writer plain;
  const cv::Mat alpha = shop_->draw("52", 50, plain, dice);
  const cv::Rect ink = cv::boundingRect(alpha > 40);
  EXPECT_EQ(ink, cv::Rect(2, 2, alpha.cols - 4, alpha.rows - 4));
}

TEST_F(Lettering, IsTheSameAgainFromTheSameSeed) {
  for (const LetteringKind kind : kKinds) {
    Dice one(11), two(11), other(12);
    const scene::Lettering a = shop_->letter("27", 40, kind, one);
    const scene::Lettering b = shop_->letter("27", 40, kind, two);
    const scene::Lettering c = shop_->letter("27", 40, kind, other);
    EXPECT_EQ(a.style, b.style);
    ASSERT_EQ(a.alpha.size(), b.alpha.size());
    EXPECT_EQ(cv::norm(a.alpha, b.alpha, cv::NORM_INF), 0);
    EXPECT_TRUE(a.alpha.size() != c.alpha.size() || cv::norm(a.alpha, c.alpha, cv::NORM_INF) > 0);
  }
}

TEST_F(Lettering, WritesLettersAndLeavesOutWhatItDoesNotKnow) {
  Dice dice(8);
  scene::Writer hand;
  const cv::Mat word = shop_->draw("CAP-7", 40, hand, dice);
  EXPECT_GT(word.cols, 2 * word.rows);
  EXPECT_TRUE(shop_->draw("", 40, hand, dice).empty());
}

TEST_F(Lettering, WritesInRealDigitsAsOftenAsAsked) {
  for (const double share : {0.0, 0.25, 0.65}) {
    const LetteringShop shop(folder_, kHands, false, share);
    Dice dice(9);
    constexpr int kWriters = 400;
    int real = 0;
    for (int i = 0; i < kWriters; ++i)
      real += shop.writer(LetteringKind::handwritten, dice).hand == scene::Hand::real_digits;
    EXPECT_NEAR(real, share * kWriters, 3 * std::sqrt(kWriters * share * (1 - share)));
  }
}

TEST_F(Lettering, NeedsItsAssets) {
  EXPECT_THROW(LetteringShop("/nowhere", kHands, false), std::runtime_error);
  EXPECT_THROW(LetteringShop(folder_, "/nowhere", false), std::runtime_error);
  EXPECT_THROW(DigitBank(kTools / "collect_fonts"), std::runtime_error);
}

TEST(DigitBank, KeepsHeldOutHandsApart) {
  const DigitBank bank(kHands);
  std::set<std::string> training;
  const auto bytes = [&](BankPart part, int digit, int which) {
    const cv::Mat picture = bank.picture(part, digit, which);
    return std::string(picture.begin<char>(), picture.end<char>());
  };
  for (int digit = 0; digit < 10; ++digit)
    for (int i = 0; i < bank.count(BankPart::training); ++i)
      training.insert(bytes(BankPart::training, digit, i));
  EXPECT_EQ(training.size(), 10U * bank.count(BankPart::training));
  for (int digit = 0; digit < 10; ++digit)
    for (int i = 0; i < bank.count(BankPart::held_out); ++i)
      EXPECT_EQ(training.count(bytes(BankPart::held_out, digit, i)), 0U) << digit << " " << i;
}

TEST(Strokes, EveryDigitHasSeveralWaysWithinItsBox) {
  for (int digit = 0; digit < 10; ++digit) {
    EXPECT_GE(scene::digit_skeletons(digit).size(), 5U) << digit;
    for (const scene::Skeleton& way : scene::digit_skeletons(digit))
      for (const scene::Stroke& stroke : way) {
        ASSERT_GE(stroke.size(), 2U);
        for (const cv::Point2d& p : stroke)
          EXPECT_TRUE(p.x > -0.11 && p.x < 0.7 && p.y > -0.06 && p.y < 1.06) << digit << " " << p;
      }
  }
  for (char letter = 'A'; letter <= 'Z'; ++letter)
    EXPECT_FALSE(scene::letter_skeleton(letter).empty()) << letter;
}

}  // namespace
