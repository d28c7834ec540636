// What was read in figures, and the fingerprints by which a photo can be known again.
#include <filesystem>

#include "report_parts.hpp"

namespace plumbstack {
namespace {

std::string cell(const std::string& html, const char* kind = "td") {
  return std::string("<") + kind + ">" + html + "</" + kind + ">";
}

std::string percent(double confidence) {
  return fixed(100 * confidence, 1) + "&nbsp;%";
}

std::string with_confidence(const std::string& value, double confidence, double bar) {
  return "<b>" + escaped(value) + (confidence < bar ? "?" : "") + "</b> <small>" +
         percent(confidence) + "</small>";
}

std::string number_cell(const NumberMark& mark, const TrustBar& bar) {
  if (!mark.text) return "none";
  return with_confidence(*mark.text, mark.confidence, bar.number) + "<br><small>" +
         (mark.end ? name_of(*mark.end) : "middle") + ", " + std::to_string(mark.rotation_deg) +
         "&deg;</small>";
}

std::string header_row(const Side& side) {
  std::string row = cell("Slot", "th");
  if (side.number) row += cell("Plan", "th") + cell("Number read", "th");
  if (side.vent) row += cell("Plan", "th") + cell("Vent seen", "th");
  if (side.sign) row += cell("Plan", "th") + cell("Sign seen", "th");
  return "<thead><tr>" + row + cell("Off line, mm", "th") + cell("Gap to next, mm", "th") +
         cell("Remark", "th") + "</tr></thead>";
}

std::string vent_cell(const VentMark& mark, const TrustBar& bar) {
  return mark.end ? with_confidence(name_of(*mark.end), mark.confidence, bar.vent) : "none";
}

std::string sign_cell(const SignMark& mark, const TrustBar& bar) {
  if (!mark.sign) return "none";
  return with_confidence(*mark.sign == Sign::plus ? "+" : "−", mark.confidence, bar.sign) +
         (mark.from_opposite ? "<br><small>from the other end</small>" : "");
}

std::string slot_row(const Side& side, const SlotView& view, const TrustBar& bar, bool last) {
  const SlotMarks& m = *view.marks;
  const std::string none = "–";
  std::string row = cell(standing_icon(view.standing) + std::to_string(view.slot), "th");
  if (side.number)
    row += cell(std::to_string(*planned_number(side, view.slot))) +
           cell(m.seen ? number_cell(m.number, bar) : none);
  if (side.vent)
    row += cell(name_of(*planned_vent(side, view.slot))) +
           cell(m.seen ? vent_cell(m.vent, bar) : none);
  if (side.sign)
    row += cell(*planned_sign(side, view.slot) == Sign::plus ? "+" : "−") +
           cell(m.seen ? sign_cell(m.sign, bar) : none);
  row += cell(m.seen && m.stagger_mm ? fixed(*m.stagger_mm, 2) + " <small>&plusmn;&nbsp;" +
                                           fixed(m.stagger_sd_mm, 2) + "</small>"
                                     : none);
  row += cell(m.seen && m.gap_mm && !last ? fixed(*m.gap_mm, 1) : none);
  row += cell(escaped(joined(view.all_words)));
  const char* row_class = view.standing == Standing::wrong    ? " class=\"wrong\""
                          : view.standing >= Standing::unseen ? " class=\"unsure\""
                                                              : "";
  return "<tr" + std::string(row_class) + ">" + row + "</tr>";
}

std::string photo_row(const CheckedPhoto& checked) {
  const Photo& photo = checked.photo;
  const CaptureFigures& capture = checked.evidence.marks.capture;
  std::string about = std::to_string(size_of(photo).width) + " &times; " +
                      std::to_string(size_of(photo).height) + " px";
  if (photo.taken_at) about += ", taken " + escaped(*photo.taken_at);
  if (checked.frame)
    about += "<br>" + fixed(capture.mm_per_px, 2) + " mm per px, blur " +
             fixed(capture.blur_px, 1) + " px, glare " + fixed(100 * capture.glare, 1) +
             "&nbsp;%, exposure " + fixed(100 * capture.exposure, 0) + "&nbsp;%";
  return "<tr>" + cell(escaped(checked.side), "th") +
         cell("<b>" + escaped(std::filesystem::path(photo.file).filename().string()) + "</b><br>" +
              about + "<br><code>" + escaped(photo.sha256) + "</code>") +
         "</tr>";
}

}  // namespace

std::string slot_table(const Pack& pack, const Check& check, std::size_t photo_index) {
  const Side* side = pack.side(check.photos[photo_index].side);
  const std::vector<SlotView> views = slot_views(pack, check, photo_index);
  if (!side || views.empty() || !views.front().marks) return "";
  std::string rows;
  for (const SlotView& view : views)
    rows += slot_row(*side, view, check.trust_bar, view.slot == pack.modules);
  return "<div class=\"wide\"><table>" + header_row(*side) + "<tbody>" + rows +
         "</tbody></table></div>";
}

std::string photo_table(const Check& check) {
  std::string rows;
  for (const CheckedPhoto& photo : check.photos) rows += photo_row(photo);
  return "<table class=\"prints\"><thead><tr>" + cell("Side", "th") +
         cell("Photo and its SHA-256", "th") + "</tr></thead><tbody>" + rows + "</tbody></table>";
}

}  // namespace plumbstack
