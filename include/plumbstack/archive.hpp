// A folder of many stacks: what lies where, before any photo is opened.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "plumbstack/base/result.hpp"
#include "plumbstack/pack.hpp"

namespace plumbstack {

struct PackFile {
  Pack pack;
  std::string sha256;  // of the definition's bytes
};

/// The definitions that an archive's stacks are checked by, each read once.
class PackBook {
 public:
  /// @param usual the definition of every stack that has none of its own
  PackBook(std::filesystem::path usual, std::filesystem::path root)
      : usual_(std::move(usual)), root_(std::move(root)) {}
  /// @param file relative to the archive; empty = the usual one. Errors as of load_pack.
  const Result<PackFile>& at(const std::string& file);

 private:
  std::filesystem::path usual_, root_;
  std::map<std::string, Result<PackFile>> read_;
};

struct ArchivePhoto {
  std::string side;
  std::string file;  // relative to the archive, parted by '/'
  std::optional<Edge> slot_1_at;
};

struct ArchiveStack {
  std::string name;  // the folder's path in the archive, or as the manifest names it
  std::string pack;  // its own definition, relative to the archive; empty = the usual one
  std::vector<ArchivePhoto> photos;
};

/// A photo that no stack is made of.
struct Unplaced {
  std::string file;
  std::string why;
};

struct Archive {
  std::filesystem::path root;
  std::vector<ArchiveStack> stacks;  // by name
  std::vector<Unplaced> unplaced;    // by file
  std::vector<std::string> folders =
      {};  // that were looked into, relative to the root; "" = itself
  std::vector<std::string> unreadable = {};  // folders of which it is not known what lies in them
};

/// Results beside the photos lie in a folder of this name, which is no part of any archive.
constexpr const char* kResultFolder = "plumbstack-results";

/// With a manifest.csv or manifest.json in the archive as it says; else a stack is a folder with
/// photos named after the sides, and a pack.json in a folder is for that folder and those below.
/// What begins with a dot is left out. Links are followed to files within the archive only.
/// @param leave_out a folder that is not looked into (the output)
/// Errors: photo_unreadable (no such folder), sheet_unreadable and sheet_invalid (the manifest).
Result<Archive> read_archive(const std::filesystem::path& root, PackBook& packs,
                             const std::filesystem::path& leave_out);

}  // namespace plumbstack
