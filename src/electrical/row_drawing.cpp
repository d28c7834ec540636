// One row of the picture for each slot. From left to right: the band over which 60 V DC is passed,
// taps, bars at the left end, the module between its two terminals, bars at the right end, blocks.
#include "row_drawing.hpp"

#include <algorithm>
#include <cmath>

#include "plumbstack/base/html_text.hpp"
#include "plumbstack/document.hpp"

namespace plumbstack {
namespace {

// mm
constexpr double kHead = 10, kFoot = 5, kTallestRow = 10;
constexpr int kMostRows = 34;  // of one picture: some 6 mm each
constexpr double kBandWidth = 4.5, kTapRight = 24, kTapTick = 27;
constexpr double kLeftBar = 44, kLeftTerminal = 51, kBoxLeft = 55, kBoxRight = 112,
                 kRightTerminal = 116, kRightBar = 123, kBlockLine = 148, kBlockText = 150.5;
constexpr double kLetters = 3.2;     // most that is written
constexpr double kOddLetters = 2.6;  // bold capitals that leave room for the volts

class RowPicture {
 public:
  RowPicture(const Pack& pack, const ElectricalInput& input, const Preview& preview)
      : pack_(pack), input_(input), preview_(preview) {}

  Drawing rows(int first, int last, double row) {
    first_ = first;
    last_ = last;
    row_ = row;
    drawing_ = {kContentWidth, kHead + row * (last - first + 1) + kFoot, "", {}};
    drawing_.about = "The row, slots " + std::to_string(first) + " to " + std::to_string(last) +
                     ", slot " + std::to_string(first) + " at the top";
    head();
    high_voltage_band();
    for (const BlockPreview& block : preview_.blocks) draw_block(block);
    for (const TapPreview& tap : preview_.taps) draw_tap(tap);
    for (const BarPreview& bar : preview_.bars) draw_bar(bar);
    pack_terminals();
    for (int slot = first; slot <= last; ++slot) draw_slot(slot);
    return drawing_;
  }

 private:
  void add(Shape shape) { drawing_.shapes.push_back(std::move(shape)); }
  double top(int slot) const { return kHead + row_ * (slot - first_); }
  double middle(int slot) const { return top(slot) + row_ / 2; }
  bool shown(int slot) const { return slot >= first_ && slot <= last_; }
  double radius() const { return std::min(0.36 * row_, 2.4); }

  void head() {
    const double y = 2.5, second = 6.4;
    add(Text{kTapRight, y, "taps,", 2.8, Align::right});
    add(Text{kTapRight, second, "V from −", 2.8, Align::right});
    add(Text{kLeftTerminal + 2, y, preview_.ends.left, 2.8, Align::middle});
    add(Text{kLeftTerminal + 2, second, "left", 2.8, Align::middle});
    add(Text{kRightTerminal - 2, y, preview_.ends.right, 2.8, Align::middle});
    add(Text{kRightTerminal - 2, second, "right", 2.8, Align::middle});
    add(Text{kBlockText, y, "block: as intended,", 2.8});
    add(Text{kBlockText, second, "as stacked if other", 2.8});
  }

  // Rows behind which the voltage from the negative end is over the limit, charged.
  void high_voltage_band() {
    if (!preview_.high.slot) return;
    const bool down = input_.negative_end == StackEnd::first;
    const int from = std::max(first_, down ? *preview_.high.slot : 1);
    const int to = std::min(last_, down ? pack_.modules : *preview_.high.slot);
    if (from > to) return;
    const double y = top(from), height = row_ * (to - from + 1);
    add(Box{0, y, kBandWidth, height, kBlack, {0, 0, kBlack}});
    const std::string text = height > 75   ? "over 60 V DC from the negative end, charged"
                             : height > 24 ? "over 60 V DC"
                                           : "";
    if (!text.empty())
      add(Text{kBandWidth / 2, y + height / 2, text, 3, Align::middle, true, kWhite, 270});
  }

  void draw_block(const BlockPreview& block) {
    const int from = std::max(first_, block.slots.front()),
              to = std::min(last_, block.slots.back());
    if (from > to) return;
    const double y1 = top(from) + 0.6, y2 = top(to) + row_ - 0.6, y = (y1 + y2) / 2;
    add(Line{kBlockLine, y1, kBlockLine, y2, {0.5, 0, kBlack}});
    add(Line{kBlockLine - 1, y1, kBlockLine, y1, {0.5, 0, kBlack}});
    add(Line{kBlockLine - 1, y2, kBlockLine, y2, {0.5, 0, kBlack}});
    const double size = std::min(kLetters, 0.62 * row_);
    add(Text{kBlockText, y, std::to_string(block.block) + ":  " + fixed(block.intended_v, 2) + " V",
             size});
    const std::string other = !block.as_stacked_v ? "not known"
                              : std::abs(*block.as_stacked_v - block.intended_v) < 0.005
                                  ? ""
                                  : fixed(*block.as_stacked_v, 2) + " V";
    if (!other.empty()) add(Text{kContentWidth, y, other, size, Align::right, true});
  }

  void draw_tap(const TapPreview& tap) {
    const bool at_top = tap.tap == 0;
    const int slot =
        at_top ? 1 : preview_.blocks[static_cast<std::size_t>(tap.tap - 1)].slots.back();
    if (!shown(slot)) return;
    const double y = at_top ? top(slot) : top(slot) + row_;
    add(Text{kTapRight, y, fixed(tap.intended_v, 1), std::min(2.9, 0.6 * row_), Align::right});
    add(Line{kTapRight + 1, y, kTapTick, y, {0.35, 0, kGrey}});
  }

  void draw_bar(const BarPreview& bar) {
    const bool upper = shown(bar.bar), lower = shown(bar.bar + 1);
    if (!upper && !lower) return;
    const bool left = bar.end == End::left;
    const double terminal = left ? kLeftTerminal : kRightTerminal, x = left ? kLeftBar : kRightBar;
    const double y1 = upper ? middle(bar.bar) : top(bar.bar + 1),
                 y2 = lower ? middle(bar.bar + 1) : top(bar.bar) + row_;
    const bool whole = bar.join == Join::unlike;
    const Stroke stroke{whole ? 1.3 : 1.0, whole ? 0 : 1.2, kBlack};
    if (upper) add(Line{terminal, y1, x, y1, stroke});
    add(Line{x, y1, x, y2, stroke});
    if (lower) add(Line{terminal, y2, x, y2, stroke});
    if (whole) return;
    const double away = left ? -1.4 : 1.4;
    const bool like = bar.join == Join::like;
    add(Text{x + away, (y1 + y2) / 2, like ? "LIKE SIGNS" : "not known", std::min(2.7, 0.5 * row_),
             left ? Align::right : Align::left, like});
  }

  void pack_terminals() {
    const bool negative_first = input_.negative_end == StackEnd::first;
    for (const int slot : {1, pack_.modules}) {
      if (!shown(slot)) continue;
      // The free terminal is at the end where the slot's only bar is not.
      const BarPreview& bar = slot == 1 ? preview_.bars.front() : preview_.bars.back();
      const bool left = bar.end == End::right;
      const double terminal = left ? kLeftTerminal : kRightTerminal,
                   x = left ? kLeftBar : kRightBar;
      add(Line{terminal, middle(slot), x, middle(slot), {0.5, 0, kBlack}});
      const std::string sign = (slot == 1) == negative_first ? "−" : "+";
      add(Text{x + (left ? -1 : 1), middle(slot), "PACK " + sign, std::min(3.2, 0.6 * row_),
               left ? Align::right : Align::left, true});
    }
  }

  void draw_slot(int slot) {
    const StackedModule& seen = input_.stacked[static_cast<std::size_t>(slot - 1)];
    const bool odd = seen.way_round != WayRound::as_planned;
    const double high = row_ - 1, size = std::min(kLetters, 0.62 * row_);
    add(Box{kBoxLeft,
            middle(slot) - high / 2,
            kBoxRight - kBoxLeft,
            high,
            odd ? kWhite : kPale,
            {odd ? 0.9 : 0.3, 0, odd ? kBlack : kGrey}});
    add(Text{kBoxLeft + 7.5, middle(slot), std::to_string(slot), std::min(4.2, 0.75 * row_),
             Align::right, true});
    add(Text{kBoxLeft + 10, middle(slot), middle_text(slot, seen),
             odd ? std::min(kOddLetters, size) : size, Align::left, odd});
    add(Text{kBoxRight - 1.5, middle(slot), fixed(standing_in(input_, slot).v, 3) + " V", size,
             Align::right});
    terminal(kLeftTerminal, slot, End::left);
    terminal(kRightTerminal, slot, End::right);
  }

  std::string middle_text(int slot, const StackedModule& seen) const {
    if (seen.way_round == WayRound::wrong) return "WRONG WAY ROUND";
    if (seen.way_round == WayRound::not_known) return "sign not known";
    const std::string& serial = standing_in(input_, slot).serial;
    constexpr std::size_t kFits = 14;
    if (serial.size() <= kFits) return serial;
    std::size_t from = serial.size() - kFits + 1;  // the end of a serial tells most
    while (from < serial.size() && (serial[from] & 0xC0) == 0x80) ++from;  // whole letters only
    return "…" + serial.substr(from);
  }

  void terminal(double x, int slot, End end) {
    const auto sign = sign_at(input_, preview_.ends, slot, end);
    const double y = middle(slot), r = radius(), bar = 0.58 * r, thick = 0.28 * r;
    add(Disc{x, y, r, kWhite, {0.4, 0, kBlack}});
    if (!sign) return add(Text{x, y, "?", 1.5 * r, Align::middle, true});
    add(Line{x - bar, y, x + bar, y, {thick, 0, kBlack}});
    if (*sign == Sign::plus) add(Line{x, y - bar, x, y + bar, {thick, 0, kBlack}});
  }

  const Pack& pack_;
  const ElectricalInput& input_;
  const Preview& preview_;
  int first_ = 1, last_ = 1;
  double row_ = 0;
  Drawing drawing_;
};

}  // namespace

std::vector<Drawing> row_drawings(const Pack& pack, const ElectricalInput& input,
                                  const Preview& preview) {
  const int pictures = (pack.modules + kMostRows - 1) / kMostRows;
  const int rows = (pack.modules + pictures - 1) / pictures;
  const double row = std::min(kTallestRow, (kFigureHeight - kHead - kFoot) / rows);
  RowPicture picture(pack, input, preview);
  std::vector<Drawing> drawings;
  for (int first = 1; first <= pack.modules; first += rows)
    drawings.push_back(picture.rows(first, std::min(pack.modules, first + rows - 1), row));
  return drawings;
}

}  // namespace plumbstack
