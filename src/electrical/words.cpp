#include <algorithm>
#include <set>

#include "parts.hpp"
#include "plumbstack/base/utf8.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kMostNamed = 24;  // candidates in one sentence; the document has all

std::string joined(const std::vector<std::string>& words, const std::string& last) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i)
    text += (i == 0 ? "" : i + 1 == words.size() ? " " + last + " " : ", ") + words[i];
  return text;
}

std::string pair_words(const std::vector<int>& slots) {
  return std::to_string(slots[0]) + " with " + std::to_string(slots[1]);
}

std::string with_rest(std::vector<std::string> words, const std::string& last) {
  const std::size_t all = words.size();
  if (all <= kMostNamed) return joined(words, last);
  words.resize(kMostNamed);
  words.push_back(std::to_string(all - kMostNamed) + " more");
  return joined(words, last);
}

std::string the_module(const std::set<std::vector<int>>& choices) {
  std::vector<int> slots;
  slots.reserve(choices.size());
  for (const std::vector<int>& choice : choices) slots.push_back(choice.front());
  if (slots.size() == 1) return "the module in " + listed("slot", slots);
  return "one of the modules in " + listed("slot", slots);
}

std::string fault_words(const Fault& fault, const std::set<std::vector<int>>& choices) {
  switch (fault.kind) {
    case FaultKind::turned: return the_module(choices) + " stands the wrong way round";
    case FaultKind::shorted_cells:
      return std::to_string(fault.cells) + (fault.cells == 1 ? " cell of " : " cells of ") +
             the_module(choices) + (fault.cells == 1 ? " is shorted" : " are shorted");
    case FaultKind::open:
      return "block " + std::to_string(fault.block) +
             " is open: a module is missing or a connection is loose (" +
             listed("slot", fault.slots) + ")";
    case FaultKind::swapped: {
      std::vector<std::string> pairs;
      pairs.reserve(choices.size());
      for (const std::vector<int>& choice : choices) pairs.push_back(pair_words(choice));
      return "a module of block " + std::to_string(fault.block) + " and one of block " +
             std::to_string(fault.other_block) + " are swapped (slot " + with_rest(pairs, "or") +
             ")";
    }
  }
  return "";
}

std::string candidate_words(const std::vector<Fault>& candidate) {
  std::vector<std::string> words;
  for (const Fault& f : candidate) {
    if (f.kind == FaultKind::open) continue;  // its slots are named already, and no choice
    words.push_back(f.kind == FaultKind::swapped ? pair_words(f.slots)
                                                 : std::to_string(f.slots.front()));
  }
  return joined(words, "and");
}

}  // namespace

const char* name_of(WayRound way) {
  static constexpr const char* kNames[] = {"as planned", "wrong way round", "not known"};
  return kNames[static_cast<int>(way)];
}
const char* name_of(Join join) {
  static constexpr const char* kNames[] = {"unlike", "like", "not known"};
  return kNames[static_cast<int>(join)];
}
const char* name_of(DiagnosisState state) {
  static constexpr const char* kNames[] = {"no readings", "all within", "explained",
                                           "explained by block", "not explained"};
  return kNames[static_cast<int>(state)];
}
const char* name_of(Outcome outcome) {
  static constexpr const char* kNames[] = {"as intended", "fix", "not known"};
  return kNames[static_cast<int>(outcome)];
}

std::string shown_name(const std::string& file) {
  return first_not_utf8(file) == std::string::npos ? file : "the file given";
}

std::string listed(const std::string& one, const std::vector<int>& numbers) {
  std::vector<std::string> runs;
  for (std::size_t i = 0; i < numbers.size();) {
    std::size_t last = i;
    while (last + 1 < numbers.size() && numbers[last + 1] == numbers[last] + 1) ++last;
    if (last - i >= 2) {
      runs.push_back(std::to_string(numbers[i]) + " to " + std::to_string(numbers[last]));
    } else {
      for (std::size_t k = i; k <= last; ++k) runs.push_back(std::to_string(numbers[k]));
    }
    i = last + 1;
  }
  return one + (numbers.size() == 1 ? " " : "s ") + joined(runs, "and");
}

std::string words_of(const Explanation& explanation) {
  std::vector<std::string> sentences;
  std::size_t combinations = 1;
  for (std::size_t i = 0; i < explanation.faults.size(); ++i) {
    std::set<std::vector<int>> choices;
    for (const auto& candidate : explanation.candidates) choices.insert(candidate[i].slots);
    combinations *= choices.size();
    sentences.push_back(fault_words(explanation.faults[i], choices));
  }
  std::string text = joined(sentences, "and");
  if (combinations == explanation.candidates.size()) return text;
  // Not every choice goes with every other.
  std::vector<std::string> candidates;
  for (const auto& candidate : explanation.candidates)
    candidates.push_back(candidate_words(candidate));
  return text + "; only slots " + with_rest(candidates, "or") + " together";
}

}  // namespace plumbstack
