// One row for each slot: its number upright, the strip as it must look, the serial, the block. The
// vent is a filled disc at its end, the sign stands in a ring, the number stands at its end and
// turned as it must be, with an arrow to its top.
#include <algorithm>
#include <cmath>

#include "sheet_parts.hpp"

namespace plumbstack {
namespace {

// mm
constexpr double kHead = 8, kRowsHeight = kFigureHeight - kHead - 1, kTallestRow = 11;
constexpr int kMostRows = 34;  // of one picture: some 6 mm each
constexpr double kSlotRight = 11, kNumberMiddle = 24, kStripLeft = 38, kLongestStrip = 84;
constexpr double kShortestStrip = 40, kShortestWithNumber = 60, kSerialGap = 4, kBlockMiddle = 177;
constexpr double kDigitWidth = 0.7;  // of DejaVu Sans Bold, as a share of its size
// Where marks are drawn, as shares of the strip from the end that they are near.
constexpr double kSignAt = 0.06, kNumberAt = 0.2, kVentAt = 0.34, kVentBesideNumber = 0.43;
constexpr double kTallestMark = 6.5;

double share(std::optional<End> end, double from_end) {
  if (!end) return 0.5;
  return *end == End::left ? from_end : 1 - from_end;
}

Ink ink_of(MarkColor color) {
  switch (color) {
    case MarkColor::red: return {0.8, 0.1, 0.1};
    case MarkColor::blue: return {0.1, 0.3, 0.75};
    case MarkColor::black: return kBlack;
    case MarkColor::white: return kWhite;
    case MarkColor::green: return {0.1, 0.5, 0.2};
    case MarkColor::yellow: return {0.95, 0.8, 0.1};
  }
  return kWhite;
}

const char* name_of(MarkColor color) {
  switch (color) {
    case MarkColor::red: return "red";
    case MarkColor::blue: return "blue";
    case MarkColor::black: return "black";
    case MarkColor::white: return "white";
    case MarkColor::green: return "green";
    case MarkColor::yellow: return "yellow";
  }
  return "";
}

class SidePicture {
 public:
  SidePicture(const Pack& pack, const Side& side, const TestSheet& sheet, const Plan& plan)
      : side_(side), sheet_(sheet), plan_(plan) {
    double longest = 0;
    for (const Side& one : pack.sides) longest = std::max(longest, one.strip_mm);
    strip_ = std::max(side.number ? kShortestWithNumber : kShortestStrip,
                      kLongestStrip * side.strip_mm / longest);
  }

  Drawing rows(int first, int last, double row) {
    row_ = row;
    drawing_ = {kContentWidth, kHead + row * (last - first + 1) + 1, "", {}};
    drawing_.about = "Side " + side_.name + ", slots " + std::to_string(first) + " to " +
                     std::to_string(last) + ", slot " + std::to_string(first) + " at the top";
    head();
    for (int slot = first; slot <= last; ++slot) {
      top_ = kHead + row * (slot - first);
      draw_slot(slot);
    }
    blocks(first, last);
    return drawing_;
  }

 private:
  void add(Shape shape) { drawing_.shapes.push_back(std::move(shape)); }
  double high() const { return row_ - 0.9; }
  double mark() const { return std::min(high(), kTallestMark); }  // room for one
  double middle() const { return top_ + row_ / 2; }

  void head() {
    const double y = kHead / 2 - 0.5;
    add(Text{kSlotRight, y, "slot", 3.2, Align::right});
    add(Text{kNumberMiddle, y, "number", 3.2, Align::middle});
    add(Text{kStripLeft, y, "left end", 3.2});
    add(Text{kStripLeft + strip_, y, "right end", 3.2, Align::right});
    add(Text{kStripLeft + strip_ + kSerialGap, y, "serial", 3.2});
    add(Text{kBlockMiddle, y, "block", 3.2, Align::middle});
  }

  void draw_slot(int slot) {
    const double letters = std::min(0.82 * row_, 6.5);
    add(Text{kSlotRight, middle(), std::to_string(slot), std::min(letters, 4.2), Align::right,
             false, kGrey});
    add(Box{kStripLeft, middle() - high() / 2, strip_, high(), kPale, {0.3, 0, kGrey}});
    const PlannedSlot& planned = plan_.slots[static_cast<std::size_t>(slot - 1)];
    add(Text{kNumberMiddle, middle(), std::to_string(planned.number), letters, Align::middle,
             true});
    if (const auto number = planned_number(side_, slot)) draw_number(std::to_string(*number));
    if (const auto vent = planned_vent(side_, slot)) {
      const double x =
          kStripLeft + strip_ * share(*vent, side_.number ? kVentBesideNumber : kVentAt);
      add(Disc{x, middle(), 0.4 * mark(), kBlack, {0, 0, kBlack}});
    }
    if (const auto sign = planned_sign(side_, slot)) draw_sign(*sign);
    serial(sheet_.modules[planned.module].serial);
  }

  void draw_number(const std::string& digits) {
    const NumberRule& rule = *side_.number;
    const bool sign_in_the_middle = side_.sign && !side_.sign->end;
    const double at = !rule.end && sign_in_the_middle ? 0.25 : share(rule.end, kNumberAt);
    const double x = kStripLeft + strip_ * at;
    const bool across = rule.rotation_deg % 180 != 0;
    const double along = kDigitWidth * static_cast<double>(digits.size());  // of its size
    const double size = across ? std::min(0.95 * mark(), 0.92 * high() / along) : 0.95 * mark();
    const double half = across ? size * kCapitalHeight / 2 : size * along / 2;
    add(Text{x, middle(), digits, size, Align::middle, true, kBlack, rule.rotation_deg});
    arrow(x + half + 2.6, rule.rotation_deg);
  }

  void arrow(double x, int turn_deg) {
    const double s = 0.36 * mark(), turn = turn_deg * std::acos(-1.0) / 180;
    Polygon arrow;
    for (const auto& [dx, dy] : std::vector<std::pair<double, double>>{
             {0, -1}, {0.7, 0}, {0.22, 0}, {0.22, 1}, {-0.22, 1}, {-0.22, 0}, {-0.7, 0}})
      arrow.points.emplace_back(x + s * (dx * std::cos(turn) - dy * std::sin(turn)),
                                middle() + s * (dx * std::sin(turn) + dy * std::cos(turn)));
    arrow.fill = kGrey;
    add(arrow);
  }

  void draw_sign(Sign sign) {
    const SignRule& rule = *side_.sign;
    const double x = kStripLeft + strip_ * share(rule.end, kSignAt), radius = 0.45 * mark();
    const auto color = rule.colors.find(sign);
    const bool painted = color != rule.colors.end();
    const Ink fill = painted ? ink_of(color->second) : kWhite;
    const bool dark = fill.red + fill.green + fill.blue < 1.5;
    const Ink ink = dark ? kWhite : kBlack;
    const double bar = 0.58 * radius, thick = 0.28 * radius;
    add(Disc{x, middle(), radius, fill, {0.3, 0, kBlack}});
    add(Line{x - bar, middle(), x + bar, middle(), {thick, 0, ink}});
    if (sign == Sign::plus) add(Line{x, middle() - bar, x, middle() + bar, {thick, 0, ink}});
    if (painted)
      add(Text{x + radius + 1.2, middle(), name_of(color->second), std::min(3.2, 0.5 * row_)});
  }

  // A long serial gets smaller letters; none is cut.
  void serial(const std::string& text) {
    const double left = kStripLeft + strip_ + kSerialGap, room = kBlockMiddle - 8 - left;
    const double size =
        std::min({0.68 * row_, 4.6, room / (0.68 * static_cast<double>(text.size()))});
    add(Text{left, middle(), text, size});
  }

  void blocks(int first, int last) {
    for (const PlannedBlock& block : plan_.blocks) {
      const int from = std::max(first, block.slots.front()),
                to = std::min(last, block.slots.back());
      if (from > to) continue;
      const double y1 = kHead + row_ * (from - first), y2 = kHead + row_ * (to - first + 1);
      add(Line{0, y1, kContentWidth, y1, {0.35, 0, kBlack}});
      add(Text{kBlockMiddle, (y1 + y2) / 2, std::to_string(block.block), std::min(5.0, 0.7 * row_),
               Align::middle, true});
    }
    const double end = kHead + row_ * (last - first + 1);
    add(Line{0, end, kContentWidth, end, {0.35, 0, kBlack}});
  }

  const Side& side_;
  const TestSheet& sheet_;
  const Plan& plan_;
  double strip_ = 0, row_ = 0, top_ = 0;
  Drawing drawing_;
};

}  // namespace

std::string way_round(const Side& side, int slot) {
  std::string words;
  if (const auto vent = planned_vent(side, slot)) words = std::string("vent ") + name_of(*vent);
  if (const auto sign = planned_sign(side, slot)) {
    words += words.empty() ? "" : ", ";
    words += *sign == Sign::plus ? "+" : "−";
    if (side.sign->end) words += std::string(" ") + name_of(*side.sign->end);
  }
  return words;
}

std::vector<Drawing> side_drawings(const Pack& pack, const Side& side, const TestSheet& sheet,
                                   const Plan& plan) {
  const int pictures = (pack.modules + kMostRows - 1) / kMostRows;
  const int rows = (pack.modules + pictures - 1) / pictures;
  const double row = std::min(kTallestRow, kRowsHeight / rows);
  SidePicture picture(pack, side, sheet, plan);
  std::vector<Drawing> drawings;
  for (int first = 1; first <= pack.modules; first += rows)
    drawings.push_back(picture.rows(first, std::min(pack.modules, first + rows - 1), row));
  return drawings;
}

}  // namespace plumbstack
