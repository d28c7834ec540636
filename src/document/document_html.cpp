#include "plumbstack/base/html_text.hpp"
#include "plumbstack/document.hpp"

namespace plumbstack {
namespace {

// One column that fits a phone; on paper one section a page where the sheet asks for it.
constexpr const char* kStyle = R"css(
*{box-sizing:border-box}
body{font:17px/1.45 "DejaVu Sans",Verdana,system-ui,sans-serif;color:#121212;background:#fff;
 margin:0 auto;max-width:60rem;padding:1rem 1rem 3rem}
h1{font-size:1.9rem;line-height:1.15;margin:.2rem 0}
h2{font-size:1.4rem;line-height:1.2;margin:2.4rem 0 .7rem;padding-top:.5rem;
 border-top:3px solid #121212}
p{margin:.5rem 0}
.about{font-size:1.05rem;color:#303438;margin:0 0 1rem}
.caution{border:2px solid #121212;border-left-width:.9rem;padding:.6rem 1rem;margin:1rem 0;
 break-inside:avoid}
.caution b{font-size:1.1rem}
.caution ul{margin:.3rem 0;padding-left:1.2rem}
.wide{overflow-x:auto;margin:.8rem 0}
table{border-collapse:collapse;width:100%;min-width:36rem;line-height:1.25}
th,td{text-align:left;padding:.28rem .5rem;border-bottom:1px solid #b9bdc1;vertical-align:middle}
thead th{border-bottom:2px solid #121212;vertical-align:bottom;font-size:.82rem}
thead{display:table-header-group}
tr{break-inside:avoid}
tr.rule td{border-top:2px solid #121212}
td{overflow-wrap:break-word;max-width:24rem}h1,p{overflow-wrap:anywhere}
tr.with td{border-bottom:0}td.below{font-size:.72rem;padding-top:0;font-family:"DejaVu Sans Mono",monospace}
.banner{border:4px solid #121212;padding:.7rem 1rem;margin:1rem 0;overflow-wrap:anywhere;
 break-inside:avoid;print-color-adjust:exact;-webkit-print-color-adjust:exact}
.banner b{font-size:1.9rem;line-height:1.15}.banner p{margin:.2rem 0}
.not{background:#121212;color:#fff}
.pictures{display:grid;gap:1rem;margin:.8rem 0}
.pictures figure{margin:0;overflow:visible}.pictures img{display:block;max-width:100%;height:auto}
.pictures .none{background:#edece9;border:1px solid #121212;padding:1rem;font-weight:700}
figcaption{font-size:.8rem;line-height:1.35;overflow-wrap:anywhere;margin-top:.2rem}
.right{text-align:right}.middle{text-align:center}
td.large{font-size:1.5rem;font-weight:700;line-height:1.1;white-space:nowrap}
figure{margin:.8rem 0;overflow-x:auto;break-inside:avoid}
svg{display:block;width:100%;min-width:38rem;height:auto;
 font-family:"DejaVu Sans",Verdana,sans-serif}
footer{margin-top:2.5rem;padding-top:.6rem;border-top:1px solid #121212;font-size:.82rem}
@media (max-width:36rem){.pictures{grid-template-columns:1fr!important}}
@media print{.pictures img{max-height:104mm;width:auto}
 @page{margin:12mm}body{font-size:10pt;max-width:none;padding:0}
 .page{break-before:page}h2{break-after:avoid;margin-top:1rem}.wide,figure{overflow:visible}
 td,th{padding:.06rem .3rem}td.large{font-size:14pt}svg,table{min-width:0}svg{max-height:225mm}}
)css";

const char* class_of(Align align) {
  return align == Align::left ? "" : align == Align::middle ? "middle" : "right";
}

std::string cell(const Column& column, const std::string& text, const char* kind) {
  std::string classes = class_of(column.align);
  if (column.large) classes += " large";
  return std::string("<") + kind + (classes.empty() ? "" : " class=\"" + classes + "\"") + ">" +
         escaped(text) + "</" + kind + ">";
}

std::string row_tag(const Row& row) {
  std::string classes = row.rule_above ? "rule" : "";
  if (!row.below.empty()) classes += classes.empty() ? "with" : " with";
  return classes.empty() ? "<tr>" : "<tr class=\"" + classes + "\">";
}

std::string image(const Picture& picture) {
  if (picture.jpeg.empty()) return "<div class=\"none\">" + escaped(picture.about) + "</div>";
  return "<img alt=\"" + escaped(picture.about) + "\" width=\"" + std::to_string(picture.width) +
         "\" height=\"" + std::to_string(picture.height) + "\" src=\"data:image/jpeg;base64," +
         base64(picture.jpeg) + "\">";
}

struct HtmlWriter {
  std::string operator()(const Paragraph& p) const { return "<p>" + escaped(p.text) + "</p>"; }
  std::string operator()(const Caution& c) const {
    std::string html = "<div class=\"caution\"><b>&#9888;&#65038; " + escaped(c.title) + "</b><ul>";
    for (const std::string& item : c.items) html += "<li>" + escaped(item) + "</li>";
    return html + "</ul></div>";
  }
  std::string operator()(const Table& t) const {
    std::string html = "<div class=\"wide\"><table><thead><tr>";
    for (const Column& column : t.columns) html += cell(column, column.title, "th");
    html += "</tr></thead><tbody>";
    for (const Row& row : t.rows) {
      html += row_tag(row);
      for (std::size_t i = 0; i < t.columns.size(); ++i)
        html += cell(t.columns[i], row.cells[i], "td");
      html += "</tr>";
      if (!row.below.empty())
        html += "<tr><td class=\"below\" colspan=\"" + std::to_string(t.columns.size()) + "\">" +
                escaped(row.below) + "</td></tr>";
    }
    return html + "</tbody></table></div>";
  }
  std::string operator()(const Figure& f) const {
    return "<figure>" + drawing_svg(f.drawing) + "</figure>";
  }
  std::string operator()(const Banner& b) const {
    std::string html = std::string("<div class=\"banner") + (b.good ? "" : " not") + "\"><b>" +
                       escaped(b.headline) + "</b>";
    for (const std::string& line : b.lines) html += "<p>" + escaped(line) + "</p>";
    return html + "</div>";
  }
  std::string operator()(const PictureRow& row) const {
    std::string html = "<div class=\"pictures\" style=\"grid-template-columns:repeat(" +
                       std::to_string(row.places) + ",1fr)\">";
    for (const Picture& picture : row.pictures) {
      html += "<figure>" + image(picture);
      html += "<figcaption>";
      for (std::size_t i = 0; i < picture.caption.size(); ++i)
        html += (i == 0 ? "" : "<br>") + escaped(picture.caption[i]);
      html += "</figcaption></figure>";
    }
    return html + "</div>";
  }
};

}  // namespace

std::string document_html(const Document& document) {
  std::string html =
      "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
      "content=\"width=device-width,initial-scale=1\"><title>" +
      escaped(document.title) + "</title><style>" + kStyle + "</style></head><body><h1>" +
      escaped(document.title) + "</h1><p class=\"about\">" + escaped(document.subtitle) + "</p>";
  for (const Section& section : document.sections) {
    html += section.new_page ? "<section class=\"page\">" : "<section>";
    if (!section.title.empty()) html += "<h2>" + escaped(section.title) + "</h2>";
    for (const Piece& piece : section.pieces) html += std::visit(HtmlWriter{}, piece);
    html += "</section>\n";
  }
  return html + "<footer>" + escaped(document.footer) + "</footer></body></html>\n";
}

}  // namespace plumbstack
