#include "rules.hpp"

namespace plumbstack {

const char* name_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::pass: return "pass";
    case Verdict::fix: return "fix";
    case Verdict::retake: return "retake";
  }
  return "retake";
}

const char* name_of(Severity severity) {
  switch (severity) {
    case Severity::note: return "note";
    case Severity::retake: return "retake";
    case Severity::fix: return "fix";
  }
  return "retake";
}

namespace {

// Three or more in a row are said as "5 to 10": thirty slots in a list can't be read at a bench.
std::vector<std::string> runs(const std::vector<int>& slots) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < slots.size();) {
    std::size_t end = i + 1;
    while (end < slots.size() && slots[end] == slots[end - 1] + 1) ++end;
    if (end - i >= 3) {
      parts.push_back(std::to_string(slots[i]) + " to " + std::to_string(slots[end - 1]));
      i = end;
    } else {
      parts.push_back(std::to_string(slots[i++]));
    }
  }
  return parts;
}

}  // namespace

std::string slots_text(const std::vector<int>& slots) {
  const std::vector<std::string> parts = runs(slots);
  std::string text = slots.size() == 1 ? "slot " : "slots ";
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (i > 0) text += i + 1 == parts.size() ? " and " : ", ";
    text += parts[i];
  }
  return text;
}

std::string modules_text(const std::vector<int>& slots) {
  return (slots.size() == 1 ? "the module in " : "the modules in ") + slots_text(slots);
}

}  // namespace plumbstack
