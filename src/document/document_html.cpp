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
.right{text-align:right}.middle{text-align:center}
td.large{font-size:1.5rem;font-weight:700;line-height:1.1;white-space:nowrap}
figure{margin:.8rem 0;overflow-x:auto;break-inside:avoid}
svg{display:block;width:100%;min-width:38rem;height:auto;
 font-family:"DejaVu Sans",Verdana,sans-serif}
footer{margin-top:2.5rem;padding-top:.6rem;border-top:1px solid #121212;font-size:.82rem}
@media print{@page{margin:12mm}body{font-size:10pt;max-width:none;padding:0}
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
      html += row.rule_above ? "<tr class=\"rule\">" : "<tr>";
      for (std::size_t i = 0; i < t.columns.size(); ++i)
        html += cell(t.columns[i], row.cells[i], "td");
      html += "</tr>";
    }
    return html + "</tbody></table></div>";
  }
  std::string operator()(const Figure& f) const {
    return "<figure>" + drawing_svg(f.drawing) + "</figure>";
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
