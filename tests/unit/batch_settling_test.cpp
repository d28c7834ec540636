// Which of the files that arrive are whole.
#include <gtest/gtest.h>

#include "files.hpp"
#include "settling.hpp"

namespace plumbstack {
namespace {

using namespace std::chrono_literals;

struct Settles : testing::Test {
  Settling settling{2000ms};
  Settling::Time start{1000h};
  FileMark small{100, 7, 1, 1}, large{200, 7, 2, 2};
  bool whole(const FileMark& mark, std::chrono::milliseconds at) {
    const bool is = settling.whole("a.jpg", mark, start + at);
    settling.end_of_look();
    return is;
  }
};

TEST_F(Settles, WhereNothingTellsAfterAQuietWhile) {
  EXPECT_FALSE(whole(small, 0ms));
  EXPECT_FALSE(whole(small, 1999ms));
  EXPECT_FALSE(whole(large, 2000ms));  // grown: it begins anew
  EXPECT_FALSE(whole(large, 3999ms));
  EXPECT_TRUE(whole(large, 4000ms));
}

TEST_F(Settles, AtOnceWhereItIsToldToBeClosed) {
  settling.closed("a.jpg");
  EXPECT_TRUE(whole(small, 0ms));
  EXPECT_TRUE(whole(small, 1ms));
  EXPECT_FALSE(whole(large, 2ms));  // by a way that doesn't tell
  settling.closed("a.jpg");
  EXPECT_TRUE(whole(large, 3ms));
}

TEST_F(Settles, NotWhileItIsBeingWritten) {
  settling.being_written("a.jpg");
  EXPECT_FALSE(whole(small, 0ms));
  EXPECT_FALSE(whole(small, 19999ms));  // a pause is no end
  settling.being_written("a.jpg");
  EXPECT_FALSE(whole(large, 20000ms));
  settling.closed("a.jpg");
  EXPECT_TRUE(whole(large, 20001ms));
}

TEST_F(Settles, LateWhereWhoWroteItNeverClosedIt) {
  settling.being_written("a.jpg");
  EXPECT_FALSE(whole(small, 0ms));
  EXPECT_TRUE(whole(small, 20000ms));
}

TEST_F(Settles, CountsClosings) {
  EXPECT_EQ(settling.closings("a.jpg"), 0u);
  settling.closed("a.jpg"), settling.being_written("a.jpg"), settling.closed("a.jpg");
  EXPECT_EQ(settling.closings("a.jpg"), 2u);
}

TEST_F(Settles, ForgetsWhatIsGone) {
  settling.closed("a.jpg");
  EXPECT_TRUE(whole(small, 0ms));
  settling.end_of_look();               // looked at others only
  EXPECT_FALSE(whole(small, 60000ms));  // as if it were new
}

TEST(FileMarks, TellStatesApart) {
  const test::ScratchFolder folder;
  EXPECT_FALSE(mark_of(folder.path()));
  EXPECT_FALSE(mark_of(folder.path() / "none"));
  const auto file = folder.write("a.jpg", std::string("one"));
  const auto first = mark_of(file);
  ASSERT_TRUE(first);
  EXPECT_EQ(first->size, 3u);
  EXPECT_EQ(mark_of(file), first);
  std::filesystem::rename(folder.write("b", std::string("two")), file);
  EXPECT_NE(mark_of(file), first);
}

}  // namespace
}  // namespace plumbstack
