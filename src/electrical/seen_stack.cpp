// A result document -> which way round each module stands. Each side that shows signs has its say;
// one that was not read with trust says nothing, and where two disagree nothing is known.
#include <algorithm>
#include <map>
#include <set>

#include "parts.hpp"
#include "plumbstack/electrical_files.hpp"

namespace plumbstack {
namespace {

// What the document's own findings say against its readings.
struct Doubts {
  std::set<std::string> sides;                           // slots can't be named there
  std::set<std::pair<std::string, int>> signs, numbers;  // of a side in a slot
  std::set<int> slots;                                   // sides contradict each other on it

  void add(const std::string& code, const std::string& side, const std::vector<int>& in_slots) {
    static const std::set<std::string> unnamed{"stack.direction", "count.short", "count.long",
                                               "count.unsure", "photo.no_stack"};
    if (unnamed.contains(code)) sides.insert(side);
    for (const int slot : in_slots) {
      if (code == "sign.doubtful" || code == "sign.unsure") signs.emplace(side, slot);
      if (code == "number.doubtful" || code == "number.unsure" || code == "number.duplicate")
        numbers.emplace(side, slot);
      if (code == "sides.disagree") slots.insert(slot);
    }
  }
};

// What the trusted marks say of one slot.
struct Votes {
  std::set<std::string> as_planned, turned;  // sides whose sign says so
  std::set<bool> vents;                      // turned or not
  std::set<int> homes;
};

class SignReader {
 public:
  SignReader(const CheckResult& result, const Pack& pack)
      : result_(result), pack_(pack), votes_(static_cast<std::size_t>(pack.modules)) {
    for (const ReadFinding& one : result.findings) doubts_.add(one.code, one.side, one.slots);
    for (const ReadPhoto& photo : result.photos)
      if (photo.slots_named && !doubts_.sides.contains(photo.side))
        for (int slot = 1; slot <= pack.modules; ++slot)
          read_slot(*pack.side(photo.side), slot, photo.slots[static_cast<std::size_t>(slot - 1)]);
  }

  std::vector<StackedModule> stacked() const {
    std::vector<StackedModule> all;
    for (std::size_t i = 0; i < votes_.size(); ++i)
      all.push_back(judged(votes_[i], doubts_.slots.contains(static_cast<int>(i) + 1)));
    take_out_doubles(all);
    return all;
  }
  const std::set<std::string>& sides() const { return sides_; }

 private:
  void read_slot(const Side& side, int slot, const ReadSlot& read) {
    if (!read.seen) return;
    Votes& votes = votes_[static_cast<std::size_t>(slot - 1)];
    if (const auto sign = planned_sign(side, slot); sign && read.sign) {
      sides_.insert(side.name);
      const auto word = trusted(*read.sign, result_.sign_bar);
      if (word && !doubts_.signs.contains({side.name, slot}))
        (*word == name_of(*sign) ? votes.as_planned : votes.turned).insert(side.name);
    }
    if (const auto vent = planned_vent(side, slot); vent && read.vent)
      if (const auto word = trusted(*read.vent, result_.vent_bar))
        votes.vents.insert(*word != name_of(*vent));
    if (side.number && read.number)
      if (const auto word = trusted(*read.number, result_.number_bar);
          word && !doubts_.numbers.contains({side.name, slot}))
        votes.homes.insert(home_of(side, *word));
  }

  static std::optional<std::string> trusted(const ReadMark& mark, double bar) {
    return mark.confidence >= bar ? mark.says : std::nullopt;
  }

  // 0 = of no slot.
  int home_of(const Side& side, const std::string& text) const {
    if (text.empty() || text.size() > 6 ||
        text.find_first_not_of("0123456789") != std::string::npos)
      return 0;
    const int slot = std::stoi(text) - side.number->first + 1;
    return slot >= 1 && slot <= pack_.modules ? slot : 0;
  }

  static std::string sides_text(const std::set<std::string>& names) {
    std::string text;
    for (const std::string& name : names) text += (text.empty() ? "" : " and ") + name;
    return text;
  }

  static StackedModule judged(const Votes& votes, bool disputed) {
    StackedModule module;
    const bool turned = !votes.turned.empty(), planned = !votes.as_planned.empty();
    if (turned && planned)
      module.why = "signs on " + sides_text(votes.as_planned) + " and on " +
                   sides_text(votes.turned) + " contradict each other";
    else if (!turned && !planned)
      module.why = "no sign was read with trust";
    else if (votes.vents.contains(!turned))
      module.why = "sign and vent contradict each other";
    else if (disputed)
      module.why = "the photos contradict each other on it";
    module.way_round = !module.why.empty() ? WayRound::not_known
                       : turned            ? WayRound::wrong
                                           : WayRound::as_planned;
    if (votes.homes.size() == 1 && *votes.homes.begin() != 0) module.home = *votes.homes.begin();
    return module;
  }

  // One module can't stand in two slots: then neither number tells.
  static void take_out_doubles(std::vector<StackedModule>& all) {
    std::map<int, int> many;
    for (const StackedModule& module : all)
      if (module.home) ++many[*module.home];
    for (StackedModule& module : all)
      if (module.home && many[*module.home] > 1) module.home.reset();
  }

  const CheckResult& result_;
  const Pack& pack_;
  Doubts doubts_;
  std::vector<Votes> votes_;
  std::set<std::string> sides_;  // whose signs were looked at
};

std::vector<std::string> assumptions_of(const std::vector<StackedModule>& stacked,
                                        const std::set<std::string>& sides,
                                        const std::string& origin) {
  std::string names;
  for (const std::string& side : sides) names += (names.empty() ? "" : ", ") + side;
  std::vector<std::string> all{
      "Signs: from " + shown_name(origin) + " (" +
      (names.empty() ? "no side shows any" : "sides " + names) +
      "). A sign under the trust bar, doubted by a finding or contradicted is taken as not known."};
  std::vector<int> moved;
  for (std::size_t i = 0; i < stacked.size(); ++i)
    if (stacked[i].home && *stacked[i].home != static_cast<int>(i) + 1)
      moved.push_back(static_cast<int>(i) + 1);
  all.push_back(moved.empty() ? "Every module is taken to stand in the slot it is planned for."
                              : "By its number another module than planned stands in " +
                                    listed("slot", moved) +
                                    ": its voltage is used in what is said of the stack as it is.");
  return all;
}

}  // namespace

SeenStack seen_stack(const CheckResult& result, const std::string& origin, const Pack& pack) {
  const SignReader reader(result, pack);
  SeenStack seen{reader.stacked(), {}};
  seen.assumptions = assumptions_of(seen.stacked, reader.sides(), origin);
  return seen;
}

}  // namespace plumbstack
