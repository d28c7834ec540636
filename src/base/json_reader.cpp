#include "plumbstack/base/json_reader.hpp"

#include <cmath>
#include <sstream>

namespace plumbstack {
namespace {

const Json& empty_object() {
  static const Json empty = Json::object();
  return empty;
}

std::string range_text(double low, double high, const char* kind) {
  std::ostringstream text;
  text << kind << " from " << low << " to " << high;
  return text.str();
}

// JSON parsers keep one of two equal keys and say nothing; the other is a slip that must be seen.
struct KeyWatch {
  std::vector<std::set<std::string>> open;  // keys of the objects being read, outermost first
  std::optional<std::string> twice;         // first key that stood twice

  bool operator()(int, Json::parse_event_t event, Json& parsed) {
    if (event == Json::parse_event_t::object_start) open.emplace_back();
    if (event == Json::parse_event_t::object_end) open.pop_back();
    if (event == Json::parse_event_t::key)
      if (const auto key = parsed.get<std::string>(); !open.back().insert(key).second && !twice)
        twice = key;
    return true;
  }
};

}  // namespace

Json parsed_json(const std::string& text, std::optional<std::string>& twice) {
  KeyWatch watch;
  Json document = Json::parse(text, std::ref(watch), false);
  twice = watch.twice;
  return document;
}

JsonReader::JsonReader(const Json& object, std::string path, std::optional<std::string>& fault)
    : object_(object.is_object() ? object : empty_object()), path_(std::move(path)), fault_(fault) {
  if (!object.is_object()) refuse(path_, "an object");
}

std::string JsonReader::path_of(const std::string& key) const {
  return path_.empty() ? key : path_ + "." + key;
}

void JsonReader::refuse(const std::string& path, const std::string& allowed) {
  if (!fault_) fault_ = (path.empty() ? "the document" : path) + " must be " + allowed;
}

const Json* JsonReader::find(const std::string& key, const std::string& allowed, bool needed) {
  asked_.insert(key);
  const auto at = object_.find(key);
  if (at != object_.end()) return &*at;
  if (needed && !fault_) fault_ = path_of(key) + " is missing; it must be " + allowed;
  return nullptr;
}

bool JsonReader::has(const std::string& key) {
  asked_.insert(key);
  return object_.contains(key);
}

double JsonReader::number(const std::string& key, double low, double high) {
  const std::string allowed = range_text(low, high, "a number");
  const Json* value = find(key, allowed);
  if (value && value->is_number() && value->get<double>() >= low && value->get<double>() <= high)
    return value->get<double>();
  if (value) refuse(path_of(key), allowed);
  return low;
}

std::optional<double> JsonReader::number_if(const std::string& key, double low, double high) {
  if (!has(key)) return std::nullopt;
  return number(key, low, high);
}

int JsonReader::whole(const std::string& key, int low, int high) {
  const std::string allowed = range_text(low, high, "a whole number");
  const Json* value = find(key, allowed);
  if (value && value->is_number_integer() && value->get<std::int64_t>() >= low &&
      value->get<std::int64_t>() <= high)
    return value->get<int>();
  if (value) refuse(path_of(key), allowed);
  return low;
}

int JsonReader::whole_or(const std::string& key, int low, int high, int absent) {
  return has(key) ? whole(key, low, high) : absent;
}

std::string JsonReader::text(const std::string& key) {
  const Json* value = find(key, "a text");
  if (value && value->is_string() && !value->get<std::string>().empty())
    return value->get<std::string>();
  if (value) refuse(path_of(key), "a text that is not empty");
  return {};
}

bool JsonReader::truth(const std::string& key, bool absent) {
  if (!has(key)) return absent;
  const Json* value = find(key, "true or false");
  if (value->is_boolean()) return value->get<bool>();
  refuse(path_of(key), "true or false");
  return absent;
}

std::string JsonReader::word(const std::string& key, const std::vector<std::string>& allowed) {
  std::string list;
  for (std::size_t i = 0; i < allowed.size(); ++i)
    list += (i == 0 ? "" : i + 1 == allowed.size() ? " or " : ", ") + allowed[i];
  const Json* value = find(key, list);
  if (value && value->is_string())
    for (const std::string& one : allowed)
      if (*value == one) return one;
  if (value) refuse(path_of(key), list);
  return allowed.front();
}

JsonReader JsonReader::object(const std::string& key) {
  const Json* value = find(key, "an object");
  return JsonReader(value ? *value : empty_object(), path_of(key), fault_);
}

std::vector<std::string> JsonReader::texts(const std::string& key) {
  std::vector<std::string> all;
  const Json* value = find(key, "a list of texts");
  if (value && value->is_array())
    for (const Json& one : *value) {
      if (one.is_string())
        all.push_back(one.get<std::string>());
      else
        refuse(path_of(key), "a list of texts");
    }
  else if (value)
    refuse(path_of(key), "a list of texts");
  return all;
}

void JsonReader::no_more_keys() {
  for (const auto& [key, value] : object_.items())
    if (!asked_.contains(key) && !fault_) {
      std::string known;
      for (const std::string& one : asked_) known += (known.empty() ? "" : ", ") + one;
      fault_ = path_of(key) + " is not a known key; here may stand: " + known;
    }
}

}  // namespace plumbstack
