#include "plumbstack/photo.hpp"
#include "report_parts.hpp"

namespace plumbstack {

std::string inline_picture(const cv::Mat& picture, const std::string& alt) {
  const std::vector<unsigned char> bytes = jpeg_bytes(picture, 82);
  if (bytes.empty()) return "<p>(no picture)</p>";
  return "<img alt=\"" + escaped(alt) + "\" src=\"data:image/jpeg;base64," +
         base64({reinterpret_cast<const char*>(bytes.data()), bytes.size()}) + "\">";
}

std::string verdict_icon(Verdict verdict) {
  const std::string open = "<svg class=\"sign\" viewBox=\"-10 -10 20 20\" aria-hidden=\"true\">";
  switch (verdict) {
    case Verdict::pass:
      return open +
             "<circle r=\"8.8\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.4\"/>"
             "<path d=\"M-4.4 .2-1.2 3.6 4.8-3.4\" fill=\"none\" stroke=\"currentColor\" "
             "stroke-width=\"2.6\" stroke-linejoin=\"round\" stroke-linecap=\"round\"/></svg>";
    case Verdict::fix:
      return open +
             "<path fill-rule=\"evenodd\" fill=\"currentColor\" d=\"M8.9-4.9A5 5 0 0 1 2.6 "
             "1.4L-4.3 8.3A2.9 2.9 0 0 1-8.4 4.2L-1.5-2.7A5 5 0 0 1 4.8-9L1.7-5.9 2.4-2.4 "
             "5.8-1.8ZM-6.9 6.6a1 1 0 1 0 1.5-1.4 1 1 0 1 0-1.5 1.4Z\"/></svg>";
    case Verdict::retake:
      return open +
             "<path fill-rule=\"evenodd\" fill=\"currentColor\" "
             "d=\"M-7.5-4.8h4L-2.2-7.4h4.4L3.5-4.8h4A1.7 1.7 0 0 1 9.2-3.1V5A1.7 1.7 0 0 1 7.5 "
             "6.7h-15A1.7 1.7 0 0 1-9.2 5v-8.1A1.7 1.7 0 0 1-7.5-4.8ZM0-3.4a4.2 4.2 0 1 0 .01 "
             "0ZM0-1.2a2 2 0 1 1-.01 0Z\"/></svg>";
  }
  return {};
}

std::string standing_icon(Standing standing) {
  const std::string open = "<svg class=\"mark\" viewBox=\"-10 -10 20 20\" aria-hidden=\"true\">";
  switch (standing) {
    case Standing::wrong:
      return open +
             "<path d=\"M0-10 10 0 0 10-10 0Z\" fill=\"#111\"/><path d=\"M-3.4-3.4 3.4 3.4M-3.4 "
             "3.4 3.4-3.4\" stroke=\"#fff\" stroke-width=\"2.4\"/></svg>";
    case Standing::unsure:
    case Standing::unseen:
      return open +
             "<circle r=\"8.6\" fill=\"#fff\" stroke=\"#111\" stroke-width=\"1.8\" "
             "stroke-dasharray=\"3.2 2.2\"/><text y=\"4.6\" font-size=\"13\" font-weight=\"700\" "
             "text-anchor=\"middle\">?</text></svg>";
    case Standing::note:
      return open +
             "<rect x=\"-8\" y=\"-8\" width=\"16\" height=\"16\" fill=\"#fff\" stroke=\"#111\" "
             "stroke-width=\"1.4\"/><text y=\"4.6\" font-size=\"13\" font-weight=\"700\" "
             "text-anchor=\"middle\">i</text></svg>";
    case Standing::good: return {};
  }
  return {};
}

}  // namespace plumbstack
