// What lies where in an archive, and which part of it is whose.
#include <gmock/gmock.h>

#include <filesystem>
#include <map>

#include "files.hpp"
#include "plumbstack/batch.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

const fs::path kPacks = fs::path(PLUMBSTACK_SOURCE_DIR) / "models" / "packs";

struct ArchiveFolder : testing::Test {
  test::ScratchFolder folder;
  fs::path root = folder.path() / "archive";
  PackBook packs{kPacks / "long-34.json", root};

  void put(const std::string& name, const std::string& text = "") {
    fs::create_directories((root / name).parent_path());
    std::ofstream(root / name) << text;
  }
  void put_pack(const std::string& name, const char* pack) {
    fs::create_directories((root / name).parent_path());
    fs::copy_file(kPacks / pack, root / name);
  }
  Archive read(const fs::path& leave_out = {}) {
    const auto archive = read_archive(root, packs, leave_out);
    EXPECT_TRUE(archive) << (archive ? "" : archive.error().message);
    return archive ? *archive : Archive{};
  }
  std::string refused() {
    const auto archive = read_archive(root, packs, {});
    return archive ? "" : archive.error().message;
  }
};

std::vector<std::string> names(const Archive& archive) {
  std::vector<std::string> found;
  for (const ArchiveStack& stack : archive.stacks) found.push_back(stack.name);
  return found;
}

std::vector<std::string> files(const ArchiveStack& stack) {
  std::vector<std::string> found;
  for (const ArchivePhoto& photo : stack.photos) found.push_back(photo.side + " " + photo.file);
  return found;
}

TEST_F(ArchiveFolder, AFolderWithPhotosNamedAfterSidesIsAStack) {
  put("b/x/number.JPG"), put("b/x/vent.png"), put("a/number.jpeg"), put("a/readme.txt");
  put(".hidden/number.jpg"), put("a/.number.jpg");
  const Archive archive = read();
  EXPECT_THAT(names(archive), ElementsAre("a", "b/x"));
  EXPECT_THAT(files(archive.stacks[1]), ElementsAre("number b/x/number.JPG", "vent b/x/vent.png"));
  EXPECT_THAT(archive.unplaced, IsEmpty());
}

TEST_F(ArchiveFolder, PhotosInTheArchiveItselfAreAStackToo) {
  put("number.jpg"), put("a/number.jpg");
  EXPECT_THAT(names(read()), ElementsAre(".", "a"));
}

TEST_F(ArchiveFolder, APackIsForItsFolderAndThoseBelow) {
  put("a/number.jpg"), put("top/1/top.jpg"), put("top/2/number.jpg");
  put_pack("top/pack.json", "top-20.json");
  const Archive archive = read();
  EXPECT_THAT(names(archive), ElementsAre("a", "top/1"));
  EXPECT_EQ(archive.stacks[0].pack, "");
  EXPECT_EQ(archive.stacks[1].pack, "top/pack.json");
  ASSERT_THAT(archive.unplaced, SizeIs(1));
  EXPECT_EQ(archive.unplaced[0].file, "top/2/number.jpg");
  EXPECT_EQ(archive.unplaced[0].why, "pack top-20 has no side number; it has top");
}

TEST_F(ArchiveFolder, NoLinkLeadsOutOfIt) {
  put("a/number.jpg");
  folder.write("outside.jpg", std::string());
  fs::create_directory(folder.path() / "elsewhere");
  fs::create_symlink(folder.path() / "outside.jpg", root / "a" / "vent.jpg");
  fs::create_symlink(root / "a" / "number.jpg", root / "a" / "terminal-a.jpg");
  fs::create_directory_symlink(folder.path() / "elsewhere", root / "b");
  const Archive archive = read();
  ASSERT_THAT(archive.stacks, SizeIs(1));
  EXPECT_THAT(files(archive.stacks[0]),
              ElementsAre("number a/number.jpg", "terminal-a a/terminal-a.jpg"));
  ASSERT_THAT(archive.unplaced, SizeIs(2));
  EXPECT_EQ(archive.unplaced[0].why, "a link out of the archive is not followed");
  EXPECT_EQ(archive.unplaced[1].why, "a link to a folder is not followed");
}

TEST_F(ArchiveFolder, TheOutputIsNoPartOfIt) {
  put("a/number.jpg"), put("out/stacks/a/number.jpg");
  EXPECT_THAT(names(read(root / "out")), ElementsAre("a"));
}

TEST_F(ArchiveFolder, ResultsBesideThePhotosAreNoPartOfIt) {
  put("a/number.jpg"), put("a/plumbstack-results/number.annotated.jpg");
  put("plumbstack-results/stray.jpg");
  const Archive archive = read();
  EXPECT_THAT(names(archive), ElementsAre("a"));
  EXPECT_THAT(archive.unplaced, IsEmpty());
  EXPECT_THAT(archive.folders, ElementsAre("", "a"));
}

TEST_F(ArchiveFolder, AManifestSaysAllThereIs) {
  put("pictures/1.jpg"), put("x/number.jpg");
  put("manifest.csv",
      "file,stack,side,slot_1\npictures/1.jpg,one,number,left\npictures/none.jpg,one,vent,\n");
  const Archive archive = read();
  EXPECT_THAT(names(archive), ElementsAre("one"));
  EXPECT_THAT(files(archive.stacks[0]),
              ElementsAre("number pictures/1.jpg", "vent pictures/none.jpg"));
  EXPECT_EQ(archive.stacks[0].photos[0].slot_1_at, Edge::left);
  EXPECT_EQ(archive.stacks[0].photos[1].slot_1_at, std::nullopt);
}

TEST_F(ArchiveFolder, AManifestIsReadStrictlyAndTellsTheLine) {
  const std::map<std::string, std::string> cases{
      {"", "line 1: is empty"},
      {"stack,file\n", "line 1: no column side"},
      {"stack,side,file,side\n", "line 1: two columns side"},
      {"stack,side,file\n../up,number,a.jpg\n", "line 2: '../up' can't name a stack"},
      {"stack,side,file\n/abs,number,a.jpg\n", "can't name a stack"},
      {"stack,side,file\na,,a.jpg\n", "line 2: names no side"},
      {"stack,side,file\na,number,../a.jpg\n", "line 2: files are named as they lie"},
      {"stack,side,file\na,number,a.jpg\nb,number,a.jpg\na,number,b.jpg\n",
       "line 4: a second photo for side number of stack a"},
      {"stack,side,file,slot_1\na,number,a.jpg,up\n", "slot_1 is top, bottom, left or right"},
      {"stack,side,file,pack\na,number,a.jpg,p.json\na,vent,b.jpg,\n",
       "line 3: another pack for stack a than above"}};
  for (const auto& [text, why] : cases) {
    put("manifest.csv", text);
    EXPECT_THAT(refused(), HasSubstr(why)) << text;
  }
}

TEST_F(ArchiveFolder, AManifestMayBeJson) {
  put("pictures/1.jpg");
  put("manifest.json", R"({"schema": "plumbstack/manifest/1", "photos": [
      {"stack": "two", "side": "number", "file": "pictures/1.jpg", "slot_1": "left", "pack": "p.json"},
      {"file": "none.jpg", "side": "vent", "stack": "one"}]})");
  const Archive archive = read();
  EXPECT_THAT(names(archive), ElementsAre("one", "two"));
  EXPECT_THAT(files(archive.stacks[0]), ElementsAre("vent none.jpg"));
  EXPECT_THAT(files(archive.stacks[1]), ElementsAre("number pictures/1.jpg"));
  EXPECT_EQ(archive.stacks[1].pack, "p.json");
  EXPECT_EQ(archive.stacks[1].photos[0].slot_1_at, Edge::left);
  EXPECT_THAT(archive.folders, ElementsAre("", "pictures"));
  put("manifest.csv", "stack,side,file\n");
  EXPECT_EQ(refused(), "stands beside manifest.json; keep one of the two");
}

TEST_F(ArchiveFolder, AJsonManifestIsReadStrictlyAndTellsThePlace) {
  const std::string row = R"({"stack": "a", "side": "number", "file": "a.jpg"})";
  const auto of = [](const std::string& photos) {
    return R"({"schema": "plumbstack/manifest/1", "photos": [)" + photos + "]}";
  };
  const std::map<std::string, std::string> cases{
      {"", "is not JSON; check brackets, commas and quotes"},
      {"[]", "the document must be an object"},
      {R"({"photos": []})", "/schema: must be plumbstack/manifest/1"},
      {R"({"schema": "plumbstack/manifest/2", "photos": []})", "/schema: must be"},
      {R"({"schema": "plumbstack/manifest/1"})", "/photos: must be a list"},
      {R"({"schema": "plumbstack/manifest/1", "photos": [], "a/b": 1})",
       "/a~1b: is not a known key; here may stand: schema, photos"},
      {of("1"), "/photos/0: must be an object"},
      {of(row + R"(, {"stack": "b", "side": "vent"})"), "/photos/1/file: is missing"},
      {of(R"({"stack": "a", "side": 3, "file": "a.jpg"})"),
       "/photos/0/side: must be a text that is not empty"},
      {of(R"({"stack": "a", "stack": "b", "side": "vent", "file": "a.jpg"})"),
       "stack stands twice in one object"},
      {of(R"({"stack": "a", "colour": "red", "side": "vent", "file": "a.jpg"})"),
       "/photos/0/colour: is not a known key"},
      {of(row + ", " + row), "/photos/1: a second photo for side number of stack a"},
      {of(R"({"stack": "../a", "side": "vent", "file": "a.jpg"})"),
       "/photos/0: '../a' can't name a stack"},
      {of(R"({"stack": "a", "side": "vent", "file": "a.jpg", "slot_1": "up"})"),
       "/photos/0: slot_1 is top, bottom, left or right, not 'up'"}};
  for (const auto& [text, why] : cases) {
    put("manifest.json", text);
    EXPECT_THAT(refused(), HasSubstr(why)) << text;
  }
}

TEST(Shards, EachStackBelongsToOne) {
  for (const int of : {1, 2, 7}) {
    std::map<int, int> sizes;
    for (int i = 0; i < 700; ++i) {
      int owners = 0;
      for (int part = 1; part <= of; ++part)
        if (belongs_to("shop/" + std::to_string(i), {part, of})) ++owners, ++sizes[part];
      EXPECT_EQ(owners, 1);
    }
    for (const auto& [part, size] : sizes) EXPECT_NEAR(size, 700 / of, 40) << part << " of " << of;
  }
}

TEST(Shards, AreNamedFromOneOn) {
  const auto shard = shard_named("2/8");
  ASSERT_TRUE(shard);
  EXPECT_EQ(shard->part, 2);
  EXPECT_EQ(shard->of, 8);
  for (const char* word : {"0/8", "9/8", "-1/8", "1", "1/", "/2", "1/2x", "a/b", "1/0", ""})
    EXPECT_FALSE(shard_named(word)) << word;
}

// The variables of Slurm's sbatch manual, "OUTPUT ENVIRONMENT VARIABLES" (22.05).
TEST(Shards, ATaskOfAnArrayKnowsItsPart) {
  std::map<std::string, std::string> variables{{"SLURM_ARRAY_TASK_ID", "7"},
                                               {"SLURM_ARRAY_TASK_MIN", "3"},
                                               {"SLURM_ARRAY_TASK_STEP", "2"},
                                               {"SLURM_ARRAY_TASK_COUNT", "3"}};
  const auto told = [&](const char* name) -> const char* {
    const auto found = variables.find(name);
    return found == variables.end() ? nullptr : found->second.c_str();
  };
  const auto shard = shard_of_task(told);
  ASSERT_TRUE(shard);
  EXPECT_EQ(shard->part, 3);
  EXPECT_EQ(shard->of, 3);
  variables["SLURM_ARRAY_TASK_ID"] = "9";  // beyond the last
  EXPECT_FALSE(shard_of_task(told));
  variables.erase("SLURM_ARRAY_TASK_COUNT");
  EXPECT_FALSE(shard_of_task(told));
}

}  // namespace
}  // namespace plumbstack
