// Strict reading of a JSON object: every key is asked for by name with what it may be, and a key
// that nobody asked for is refused. The first fault is kept; reading goes on harmlessly after it.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <vector>

namespace plumbstack {

using Json = nlohmann::ordered_json;  // keeps the order of the definition: sides are named in it

/// The text as JSON; discarded where it is none.
/// @param twice the first key that stands twice in one object, of which one is lost
Json parsed_json(const std::string& text, std::optional<std::string>& twice);

class JsonReader {
 public:
  /// @param path key path of the object itself, "" for the document
  JsonReader(const Json& object, std::string path, std::optional<std::string>& fault);

  bool has(const std::string& key);
  double number(const std::string& key, double low, double high);
  std::optional<double> number_if(const std::string& key, double low, double high);
  int whole(const std::string& key, int low, int high);
  int whole_or(const std::string& key, int low, int high, int absent);
  std::string text(const std::string& key);
  bool truth(const std::string& key, bool absent);
  /// One of the words; the first where there is a fault.
  std::string word(const std::string& key, const std::vector<std::string>& allowed);
  JsonReader object(const std::string& key);
  std::vector<std::string> texts(const std::string& key);
  const Json& json() const { return object_; }
  std::string path_of(const std::string& key) const;
  void refuse(const std::string& path, const std::string& allowed);
  /// Call last: refuses keys that were not asked for.
  void no_more_keys();

 private:
  const Json* find(const std::string& key, const std::string& allowed, bool needed = true);

  const Json& object_;
  std::string path_;
  std::optional<std::string>& fault_;
  std::set<std::string> asked_;
};

}  // namespace plumbstack
