// The ladder: one rung per slot, slot 1 at the top. Left the plan, right what was seen. A rung that
// differs has a thick outline and a crossed diamond, an unsure one a dashed outline and a question
// mark; the vent is a filled disc at its end, the sign stands in a ring at the end that the pack
// names, the arrow points to the top of the number. A rung off the line is drawn off the line.
#include <algorithm>
#include <cmath>

#include "report_parts.hpp"

namespace plumbstack {
namespace {

constexpr double kRow = 24, kRung = 19, kWide = 176;       // drawing units
constexpr double kPlanX = 44, kSeenX = 274, kNoteX = 476;  // left ends
constexpr double kTop = 30, kWidth = 720;
constexpr double kPerMm = 5, kFarthest = 14;  // how an offset is drawn

struct Rung {
  std::string number;  // empty = none to draw
  std::optional<End> number_end;
  std::optional<int> turn;  // degrees clockwise; nullopt = no arrow
  std::optional<End> vent;
  bool vent_asked = false;  // draws a question mark where the vent is not known
  std::string sign;         // "+", "−", "?"; empty = none
  std::optional<End> sign_end;
};

std::string num(double value) {
  return fixed(value, 1);
}

std::string text_at(double x, double y, const std::string& text, const std::string& extra = "") {
  return "<text x=\"" + num(x) + "\" y=\"" + num(y) + "\"" + extra + ">" + escaped(text) +
         "</text>";
}

// Share of the rung's width at which a mark near an end is drawn.
double share(std::optional<End> end, double from_edge) {
  if (!end) return 0.5;
  return *end == End::left ? from_edge : 1 - from_edge;
}

std::string arrow(double x, double y, int turn) {
  return "<path class=\"ink\" transform=\"translate(" + num(x) + " " + num(y) + ") rotate(" +
         std::to_string(turn) + ")\" d=\"M0-6 4.2 0H1.2V6H-1.2V0H-4.2Z\"/>";
}

std::string rung_svg(const Rung& r, double x, double y, const char* shape) {
  const double middle = y + kRung / 2, base = middle + 5;
  std::string svg = "<rect class=\"" + std::string(shape) + "\" x=\"" + num(x) + "\" y=\"" +
                    num(y) + "\" width=\"" + num(kWide) + "\" height=\"" + num(kRung) + "\"/>";
  if (!r.number.empty()) {
    const double at = x + kWide * share(r.number_end, 0.205);
    svg += text_at(at - 6, base, r.number, " class=\"n\" text-anchor=\"middle\"");
    if (r.turn) svg += arrow(at + 13, middle, *r.turn);
  }
  const double vent = x + kWide * share(r.vent, 0.39);
  if (r.vent)
    svg += "<circle class=\"ink\" cx=\"" + num(vent) + "\" cy=\"" + num(middle) + "\" r=\"6\"/>";
  else if (r.vent_asked)
    svg += text_at(vent, base, "?", " text-anchor=\"middle\"");
  if (!r.sign.empty()) {
    const double at = x + kWide * share(r.sign_end, 0.05);
    svg += "<circle class=\"ring\" cx=\"" + num(at) + "\" cy=\"" + num(middle) + "\" r=\"7\"/>" +
           text_at(at, base - 0.3, r.sign, " class=\"s\" text-anchor=\"middle\"");
  }
  return svg;
}

std::string sign_text(Sign sign) {
  return sign == Sign::plus ? "+" : "−";
}

Rung planned(const Side& side, int slot) {
  Rung r;
  if (side.number) {
    r.number = std::to_string(*planned_number(side, slot));
    r.number_end = side.number->end;
    r.turn = side.number->rotation_deg;
  }
  r.vent = planned_vent(side, slot);
  if (side.sign) {
    r.sign = sign_text(*planned_sign(side, slot));
    r.sign_end = side.sign->end;
  }
  return r;
}

Rung seen(const Side& side, const SlotMarks& m, const TrustBar& bar) {
  Rung r;
  if (side.number) {
    r.number = m.number.text.value_or(m.number.place_seen ? "none" : "?");
    if (m.number.text && m.number.confidence < bar.number) r.number += "?";
    r.number_end = m.number.text ? m.number.end : side.number->end;
    if (m.number.text) r.turn = m.number.rotation_deg;
  }
  if (side.vent) {
    r.vent_asked = true;
    if (m.vent.confidence >= bar.vent) r.vent = m.vent.end;
  }
  if (side.sign) {
    const bool known = m.sign.sign && m.sign.confidence >= bar.sign;
    r.sign = known ? sign_text(*m.sign.sign) : "?";
    r.sign_end = side.sign->end;
  }
  return r;
}

const char* shape_of(Standing standing) {
  switch (standing) {
    case Standing::wrong: return "wrong";
    case Standing::unsure:
    case Standing::unseen: return "unsure";
    case Standing::good:
    case Standing::note: return "good";
  }
  return "unsure";
}

std::string difference(const SlotView& view, double y) {
  const double x = kSeenX - 28, middle = y + kRung / 2;
  const std::string at = "<g transform=\"translate(" + num(x) + " " + num(middle) + ")\">";
  if (view.standing == Standing::wrong)
    return at +
           "<path class=\"ink\" d=\"M0-10 10 0 0 10-10 0Z\"/><path class=\"x\" d=\"M-3.5-3.5 "
           "3.5 3.5M-3.5 3.5 3.5-3.5\"/></g>";
  if (view.standing >= Standing::unseen)
    return at +
           "<circle class=\"ask\" r=\"8\"/><text class=\"n\" y=\"5\" "
           "text-anchor=\"middle\">?</text></g>";
  return "";
}

std::string row(const Side& side, const SlotView& view, const TrustBar& bar) {
  const double y = kTop + kRow * (view.slot - 1);
  std::string svg = text_at(kPlanX - 12, y + kRung / 2 + 5, std::to_string(view.slot),
                            " class=\"n\" text-anchor=\"end\"");
  svg += rung_svg(planned(side, view.slot), kPlanX, y, "good");
  svg += difference(view, y);
  const SlotMarks& m = *view.marks;
  if (!m.seen) {
    svg += "<rect class=\"unsure\" x=\"" + num(kSeenX) + "\" y=\"" + num(y) + "\" width=\"" +
           num(kWide) + "\" height=\"" + num(kRung) + "\"/>";
  } else {
    const double off = std::clamp(m.stagger_mm.value_or(0) * kPerMm, -kFarthest, kFarthest);
    svg += rung_svg(seen(side, m, bar), kSeenX + off, y, shape_of(view.standing));
  }
  return svg + text_at(kNoteX, y + kRung / 2 + 5, joined(view.words), " class=\"w\"");
}

}  // namespace

std::string ladder_svg(const Pack& pack, const Check& check, std::size_t photo_index) {
  const CheckedPhoto& photo = check.photos[photo_index];
  const Side* side = pack.side(photo.side);
  const std::vector<SlotView> views = slot_views(pack, check, photo_index);
  if (!side || views.empty() || !views.front().marks) return "";
  const double high = kTop + kRow * static_cast<double>(views.size()) + 4;
  std::string svg =
      "<svg class=\"ladder\" role=\"img\" aria-label=\"The stack as planned beside "
      "as seen\" viewBox=\"0 0 " +
      num(kWidth) + " " + num(high) + "\">";
  svg += text_at(kPlanX, 18, "as planned", " class=\"h\"");
  svg += text_at(kSeenX, 18, "as seen", " class=\"h\"");
  for (const SlotView& view : views) svg += row(*side, view, check.trust_bar);
  return svg + "</svg>";
}

}  // namespace plumbstack
