// A result document -> which way round each module stands. Each side that shows signs has its say;
// one that was not read with trust says nothing, and where two disagree nothing is known.
#include <algorithm>
#include <map>
#include <set>

#include "parts.hpp"
#include "plumbstack/electrical_files.hpp"
#include "record_file.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kLongestResult = 16 << 20;  // bytes; 200 slots on 12 sides have some 1 MiB

using Fault = std::optional<std::string>;

struct TrustBars {
  double number = 1, vent = 1, sign = 1;
};

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

class ResultReader {
 public:
  ResultReader(const Json& document, const Pack& pack)
      : document_(document), pack_(pack), votes_(static_cast<std::size_t>(pack.modules)) {}

  void read() {
    JsonReader in(document_, "", fault);
    JsonReader bar = in.object("trust_bar");
    bars_ = {bar.number("number", 0, 1), bar.number("vent", 0, 1), bar.number("sign", 0, 1)};
    each("findings", [&](JsonReader one) { read_finding(one); });
    each("photos", [&](JsonReader one) { read_photo(one); });
  }

  std::vector<StackedModule> stacked() const {
    std::vector<StackedModule> all;
    for (std::size_t i = 0; i < votes_.size(); ++i)
      all.push_back(judged(votes_[i], doubts_.slots.contains(static_cast<int>(i) + 1)));
    take_out_doubles(all);
    return all;
  }
  const std::set<std::string>& sides() const { return sides_; }

  Fault fault;

 private:
  template <typename Read>
  void each(const std::string& key, Read read) {
    const Json list = document_.value(key, Json());
    if (!list.is_array() && !fault) fault = key + " must be a list";
    if (fault) return;
    for (std::size_t i = 0; i < list.size() && !fault; ++i)
      read(JsonReader(list[i], key + "." + std::to_string(i), fault));
  }

  void read_finding(JsonReader& in) {
    const std::string code = in.text("code");
    const std::string side = in.has("side") ? in.text("side") : "";
    std::vector<int> slots;
    const Json list = in.json().value("slots", Json::array());
    for (const Json& slot : list) {
      if (slot.is_number_integer())
        slots.push_back(slot.get<int>());
      else
        in.refuse(in.path_of("slots"), "a list of slots");
    }
    doubts_.add(code, side, slots);
  }

  void read_photo(JsonReader& in) {
    const std::string name = in.text("side");
    if (fault) return;
    const Side* side = pack_.side(name);
    if (!side) {
      in.refuse(in.path_of("side"), "a side of " + pack_.id + " (" + name + " is none)");
      return;
    }
    const Json slots = in.json().value("slots", Json());
    check_slots(slots, in.path_of("slots"), pack_, fault);
    if (fault || !slots_can_be_named(in, name)) return;
    for (int slot = 1; slot <= pack_.modules && !fault; ++slot)
      read_slot(*side, slot,
                JsonReader(slots[static_cast<std::size_t>(slot - 1)],
                           in.path_of("slots") + "." + std::to_string(slot - 1), fault));
  }

  bool slots_can_be_named(JsonReader& in, const std::string& side) {
    if (!in.has("stack") || doubts_.sides.contains(side)) return false;
    JsonReader stack = in.object("stack");
    const Json at = stack.json().value("slot_1_at", Json());
    return !at.is_null() && stack.whole("modules", 0, 100000) == pack_.modules;
  }

  void read_slot(const Side& side, int slot, JsonReader in) {
    if (!in.truth("seen", false)) return;
    Votes& votes = votes_[static_cast<std::size_t>(slot - 1)];
    if (const auto sign = planned_sign(side, slot); sign && in.has("sign")) {
      sides_.insert(side.name);
      const auto word = trusted(in.object("sign"), "sign", bars_.sign);
      if (word && !doubts_.signs.contains({side.name, slot}))
        (*word == name_of(*sign) ? votes.as_planned : votes.turned).insert(side.name);
    }
    if (const auto vent = planned_vent(side, slot); vent && in.has("vent"))
      if (const auto word = trusted(in.object("vent"), "end", bars_.vent))
        votes.vents.insert(*word != name_of(*vent));
    if (side.number && in.has("number"))
      if (const auto word = trusted(in.object("number"), "text", bars_.number);
          word && !doubts_.numbers.contains({side.name, slot}))
        votes.homes.insert(home_of(side, *word));
  }

  std::optional<std::string> trusted(JsonReader in, const std::string& key, double bar) {
    const double confidence = in.number("confidence", 0, 1);
    if (in.json().value(key, Json()).is_null()) return std::nullopt;
    const std::string word = key == "sign"  ? in.word(key, {"+", "-"})
                             : key == "end" ? in.word(key, {"left", "right"})
                                            : in.text(key);
    return confidence >= bar && !fault ? std::optional(word) : std::nullopt;
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

  const Json& document_;
  const Pack& pack_;
  TrustBars bars_;
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

Result<SeenStack> parse_seen_stack(const std::string& json, const std::string& origin,
                                   const Pack& pack) {
  const auto document = parse_record(json, origin, "result", pack);
  if (!document) return tl::unexpected(document.error());
  ResultReader reader(*document, pack);
  reader.read();
  if (reader.fault) return fail(ErrorCode::record_invalid, *reader.fault, origin);
  SeenStack seen{reader.stacked(), {}};
  seen.assumptions = assumptions_of(seen.stacked, reader.sides(), origin);
  return seen;
}

Result<SeenStack> load_seen_stack(const std::filesystem::path& file, const Pack& pack) {
  const auto text = read_file(file, kLongestResult, "result", ErrorCode::record_unreadable);
  if (!text) return tl::unexpected(text.error());
  return parse_seen_stack(*text, file.string(), pack);
}

}  // namespace plumbstack
