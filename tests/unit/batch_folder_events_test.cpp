// What the system tells of folders that are followed, and no longer of those that are not.
#include <gmock/gmock.h>

#include <fstream>

#include "files.hpp"
#include "folder_events.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;
using testing::Contains;
using testing::IsEmpty;

struct Followed : testing::Test {
  test::ScratchFolder folder;
  fs::path root = folder.path() / "in", away = folder.path() / "away";
  FolderEvents events{root};

  void SetUp() override {
    fs::create_directories(root / "a");
    ASSERT_TRUE(events.follow({"", "a"}));
  }
  static void touch(const fs::path& file) { std::ofstream(file) << "x"; }
  std::vector<std::string> told() {
    std::vector<std::string> files;
    events.drain([&](FolderEvents::Kind, const std::string& file) {
      if (!file.empty()) files.push_back(file);
    });
    return files;
  }
};

TEST_F(Followed, AFolderTellsOfItsFiles) {
  touch(root / "a" / "top.jpg");
  EXPECT_THAT(told(), Contains("a/top.jpg"));
}

TEST_F(Followed, AFolderThatIsMovedOutTellsNoMore) {
  fs::rename(root / "a", away);
  EXPECT_TRUE(events.follow({""}));
  told();
  touch(away / "top.jpg");
  EXPECT_THAT(told(), IsEmpty());
}

TEST_F(Followed, AFolderThatIsMovedTellsByItsNewName) {
  fs::rename(root / "a", root / "b");
  EXPECT_TRUE(events.follow({"", "b"}));
  told();
  touch(root / "b" / "top.jpg");
  EXPECT_THAT(told(), Contains("b/top.jpg"));
}

TEST_F(Followed, AFolderThatGoesAndComesAgainTells) {
  fs::remove_all(root / "a");
  EXPECT_TRUE(events.follow({""}));
  fs::create_directory(root / "a");
  EXPECT_TRUE(events.follow({"", "a"}));
  told();
  touch(root / "a" / "top.jpg");
  EXPECT_THAT(told(), Contains("a/top.jpg"));
}

}  // namespace
}  // namespace plumbstack
