#include <algorithm>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <sstream>

#include "plumbstack/record.hpp"

namespace plumbstack {
namespace {

constexpr const char* kStyle =
    "body{font:16px/1.45 'DejaVu Sans',Verdana,sans-serif;margin:0 auto;max-width:60rem;padding:0 "
    "1rem;color:#111}"
    ".verdict{font-size:3.2rem;font-weight:700;padding:.4rem 1rem;border:.4rem double "
    "#111;margin:1rem 0}"
    ".pass{background:#cfe6f2}.fix{background:#f6c9a8}.retake{background:#f7eaa0}"
    ".caution{border-left:.6rem solid #111;padding:.3rem .8rem;background:#eee}"
    "table{border-collapse:collapse;width:100%;font-size:.85rem}td,th{border:1px solid "
    "#999;padding:.15rem .4rem;text-align:left}"
    "tr.fix td:first-child:before{content:'\\2715 '}tr.retake td:first-child:before{content:'? "
    "'}tr.fix{font-weight:700;background:#f6c9a8}tr.retake{background:#f7eaa0}"
    "img{width:100%}";

std::string escaped(const std::string& text) {
  std::string out;
  for (char c : text) {
    if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '&')
      out += "&amp;";
    else if (c == '"')
      out += "&quot;";
    else
      out += c;
  }
  return out;
}

std::string base64(const std::vector<unsigned char>& bytes) {
  static constexpr char kDigits[] =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const unsigned n = bytes[i] << 16 | (i + 1 < bytes.size() ? bytes[i + 1] << 8 : 0) |
                       (i + 2 < bytes.size() ? bytes[i + 2] : 0);
    out += kDigits[n >> 18 & 63];
    out += kDigits[n >> 12 & 63];
    out += i + 1 < bytes.size() ? kDigits[n >> 6 & 63] : '=';
    out += i + 2 < bytes.size() ? kDigits[n & 63] : '=';
  }
  return out;
}

std::string picture(const cv::Mat& photo) {
  cv::Mat small = photo;
  const double scale = 1400.0 / std::max(photo.cols, photo.rows);
  if (scale < 1) cv::resize(photo, small, {}, scale, scale, cv::INTER_AREA);
  std::vector<unsigned char> bytes;
  cv::imencode(".jpg", small, bytes, {cv::IMWRITE_JPEG_QUALITY, 82});
  return "<img alt=\"annotated photo\" src=\"data:image/jpeg;base64," + base64(bytes) + "\">";
}

std::string row_class(const Check& check, const std::string& side, int slot) {
  Severity worst = Severity::note;
  for (const Finding& f : check.judgement.findings)
    if ((f.side.empty() || f.side == side) &&
        std::find(f.slots.begin(), f.slots.end(), slot) != f.slots.end())
      worst = std::max(worst, f.severity);
  return worst == Severity::note ? "" : name_of(worst);
}

// Slot by slot, as planned beside as seen.
std::string ladder(const Pack& pack, const Check& check, const CheckedPhoto& photo) {
  const Side* side = pack.side(photo.side);
  const auto& slots = photo.evidence.marks.slots;
  if (!side || slots.size() != static_cast<std::size_t>(pack.modules)) return "";
  std::ostringstream html;
  html << "<table><tr><th>slot</th><th>planned</th><th>seen</th><th>off the line, mm</th></tr>";
  for (int slot = 1; slot <= pack.modules; ++slot) {
    const SlotMarks& m = slots[static_cast<std::size_t>(slot - 1)];
    const bool odd = slot % 2 == 1;
    html << "<tr class=\"" << row_class(check, photo.side, slot) << "\"><td>" << slot
         << "</td><td>";
    if (side->number) html << side->number->first + slot - 1 << " ";
    if (side->vent)
      html << "vent " << name_of(odd ? side->vent->slot_1_end : other(side->vent->slot_1_end))
           << " ";
    if (side->sign) html << name_of(odd ? side->sign->slot_1 : other(side->sign->slot_1));
    html << "</td><td>";
    if (!m.seen)
      html << "not seen";
    else {
      if (side->number)
        html << escaped(m.number.text.value_or("none")) << " ("
             << static_cast<int>(m.number.confidence * 1000) / 10.0 << " %) ";
      if (side->vent) html << "vent " << (m.vent.end ? name_of(*m.vent.end) : "?") << " ";
      if (side->sign) html << (m.sign.sign ? name_of(*m.sign.sign) : "?");
    }
    html << "</td><td>";
    if (m.stagger_mm) html << static_cast<int>(*m.stagger_mm * 100) / 100.0;
    html << "</td></tr>";
  }
  html << "</table>";
  return html.str();
}

}  // namespace

std::string report_html(const Pack& pack, const Check& check,
                        const std::vector<cv::Mat>& annotated) {
  std::ostringstream html;
  const std::string verdict = name_of(check.judgement.verdict);
  html << "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" "
          "content=\"width=device-width\"><title>Stack check: "
       << escaped(verdict) << "</title><style>" << kStyle << "</style><h1>" << escaped(pack.name)
       << "</h1><div class=\"verdict " << verdict << "\">"
       << (verdict == "pass"  ? "&#10003; PASS"
           : verdict == "fix" ? "&#10005; FIX"
                              : "&#8635; RETAKE")
       << "</div>"
       << "<p class=\"caution\">High voltage can kill. Only qualified people work on this stack: "
          "insulated tools and gloves, service plug out, "
          "wait for discharge, prove absence of voltage. Local codes and licensed practice "
          "prevail. This check replaces neither meter nor second person.</p>";
  if (!check.judgement.repair.empty()) {
    html << "<h2>What to do</h2><ol>";
    for (const RepairStep& step : check.judgement.repair)
      html << "<li>" << escaped(step.text) << "</li>";
    html << "</ol>";
  }
  html << "<h2>Findings</h2><ul>";
  for (const Finding& f : check.judgement.findings)
    html << "<li><b>" << name_of(f.severity) << "</b> " << escaped(f.code) << " " << escaped(f.side)
         << ": " << escaped(f.message) << ". " << escaped(f.action) << ".</li>";
  for (const std::string& side : check.judgement.missing_sides)
    html << "<li><b>retake</b> no photo of side " << escaped(side) << "</li>";
  if (check.judgement.findings.empty() && check.judgement.missing_sides.empty())
    html << "<li>none</li>";
  html << "</ul>";
  for (std::size_t i = 0; i < check.photos.size(); ++i) {
    const CheckedPhoto& photo = check.photos[i];
    html << "<h2>" << escaped(photo.side) << ": " << name_of(check.judgement.side_verdicts[i])
         << "</h2>" << picture(annotated[i]) << "<p>" << escaped(photo.photo.file) << "<br>SHA-256 "
         << photo.photo.sha256
         << (photo.photo.taken_at ? "<br>taken " + escaped(*photo.photo.taken_at) : "") << "</p>"
         << ladder(pack, check, photo);
  }
  html << "<p>plumbstack " << PLUMBSTACK_VERSION << "</p></html>";
  return html.str();
}

}  // namespace plumbstack
