#include "sarif.hpp"

#include <algorithm>

#include "plumbstack/finding_codes.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* kUnread = "stack.unread";  // no finding of a check: there was none

std::string text_of(const Json& json) {
  return json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

// Section 3.27.10: error, warning, note.
const char* level_of(const std::string& severity) {
  return severity == "fix" ? "error" : severity == "retake" ? "warning" : "note";
}

Json rules() {
  Json rules = Json::array();
  for (const FindingCode& code : kFindingCodes)
    rules.push_back({{"id", code.code}, {"shortDescription", {{"text", code.when}}}});
  rules.push_back({{"id", kUnread}, {"shortDescription", {{"text", "could not be checked"}}}});
  return rules;
}

// A relative reference of RFC 3986: a path may hold what a reference may not.
std::string uri_of(const std::string& path) {
  static constexpr char kHex[] = "0123456789ABCDEF";
  const auto plain = [](unsigned char c) {
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
           std::string_view("-._~/").find(static_cast<char>(c)) != std::string_view::npos;
  };
  std::string uri;
  for (const char letter : path) {
    const auto c = static_cast<unsigned char>(letter);
    if (plain(c))
      uri += letter;
    else
      uri += {'%', kHex[c >> 4], kHex[c & 15]};
  }
  return uri;
}

Json location_of(const std::string& path, const Json& slots) {
  Json location{{"physicalLocation", {{"artifactLocation", {{"uri", uri_of(path)}}}}}};
  for (const Json& slot : slots)
    location["logicalLocations"].push_back({{"name", "slot " + std::to_string(slot.get<int>())}});
  return location;
}

}  // namespace

SarifLog::SarifLog(std::ostream& out) : out_(out) {
  const Json driver{{"name", "plumbstack"}, {"version", PLUMBSTACK_VERSION}, {"rules", rules()}};
  out_ << "{\"version\":\"2.1.0\",\"runs\":[{\"tool\":{\"driver\":" << text_of(driver)
       << "},\"results\":[";
}

void SarifLog::write(const Json& result) {
  out_ << (first_ ? "\n" : ",\n") << text_of(result);
  first_ = false;
}

void SarifLog::add(const Json& result) {
  const std::string stack = result.value("stack", "");
  for (const Json& finding : result.value("findings", Json::array())) {
    const std::string side = finding.value("side", "");
    const Json slots = finding.value("slots", Json::array());
    Json locations = Json::array();
    for (const Json& photo : result.value("photos", Json::array()))
      if (side.empty() || photo.value("side", "") == side)
        locations.push_back(location_of(photo.value("file", ""), slots));
    write(
        {{"ruleId", finding.value("code", "")},
         {"level", level_of(finding.value("severity", ""))},
         {"message", {{"text", finding.value("message", "") + "; " + finding.value("action", "")}}},
         {"locations", locations},
         {"properties", {{"stack", stack}}}});
  }
}

void SarifLog::add_failure(const std::string& stack, const std::string& failure) {
  write({{"ruleId", kUnread},
         {"level", "error"},
         {"message", {{"text", failure}}},
         {"properties", {{"stack", stack}}}});
}

void SarifLog::end() {
  out_ << "\n]}]}\n";
}

}  // namespace plumbstack
