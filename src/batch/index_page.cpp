// The page of an archive: how it stands, what goes wrong most, and each stack with its pictures.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

#include "index_style.hpp"
#include "outputs.hpp"
#include "plumbstack/base/html_text.hpp"
#include "shrink_picture.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::array kVerdicts{BatchVerdict::pass, BatchVerdict::fix, BatchVerdict::retake,
                               BatchVerdict::unread};
constexpr const char* kMeaning[] = {"everything was seen and is right",
                                    "something is wrong in the stack",
                                    "the photos don't show enough", "could not be checked at all"};
constexpr const char* kFill[] = {"#005c9e", "#111", "#f5de3d", "#9aa0a6"};
constexpr double kWide = 560, kHigh = 150, kLeft = 46, kFoot = 26;

std::string bar(double x, double y, double width, double height, const char* fill,
                const std::string& title) {
  return "<rect x=\"" + fixed(x, 1) + "\" y=\"" + fixed(y, 1) + "\" width=\"" + fixed(width, 1) +
         "\" height=\"" + fixed(height, 1) + "\" fill=\"" + fill + "\" stroke=\"#111\"><title>" +
         escaped(title) + "</title></rect>";
}

std::string label(double x, double y, const char* anchor, const std::string& text) {
  return "<text x=\"" + fixed(x, 1) + "\" y=\"" + fixed(y, 1) + "\" text-anchor=\"" + anchor +
         "\">" + escaped(text) + "</text>";
}

std::string plot(const std::string& title, double height, const std::string& inside) {
  return "<figure><figcaption>" + escaped(title) + "</figcaption><svg viewBox=\"0 0 " +
         fixed(kWide, 0) + " " + fixed(height, 0) + "\" role=\"img\">" + inside + "</svg></figure>";
}

// Months where the photos span more than sixty days, else days.
std::string verdicts_over_time(const std::vector<StackFacts>& stacks) {
  std::map<std::string, std::array<int, 4>> by_day, by_month;
  for (const StackFacts& f : stacks)
    if (f.taken_at.size() >= 10) {
      std::string day = f.taken_at.substr(0, 10);
      std::replace(day.begin(), day.end(), ':', '-');
      ++by_day[day][static_cast<std::size_t>(f.verdict)];
      ++by_month[day.substr(0, 7)][static_cast<std::size_t>(f.verdict)];
    }
  const auto& times = by_day.size() > 60 ? by_month : by_day;
  if (times.empty()) return "";
  int most = 1;
  for (const auto& [time, counts] : times)
    most = std::max(most, counts[0] + counts[1] + counts[2] + counts[3]);
  const double step = (kWide - kLeft - 6) / static_cast<double>(times.size()),
               floor = kHigh - kFoot;
  std::string inside;
  double x = kLeft;
  for (const auto& [time, counts] : times) {
    double y = floor;
    for (const BatchVerdict v : kVerdicts) {
      const int n = counts[static_cast<std::size_t>(v)];
      const double h = (floor - 12) * n / most;
      if (n > 0)
        inside += bar(x, y -= h, std::min(40.0, step * 0.85), h, kFill[static_cast<int>(v)],
                      time + ": " + std::to_string(n) + " " + name_of(v));
    }
    x += step;
  }
  inside += label(kLeft, kHigh - 8, "start", times.begin()->first);
  if (times.size() > 1) inside += label(kWide - 6, kHigh - 8, "end", times.rbegin()->first);
  inside += label(kLeft - 6, 20, "end", std::to_string(most)) + label(kLeft - 6, floor, "end", "0");
  return plot("Verdicts by the day the photos were taken", kHigh, inside);
}

std::string stagger_histogram(const std::vector<StackFacts>& stacks) {
  constexpr int kReach = 20, kStep = 2;  // tenths of a millimetre
  std::array<int, 2 * kReach / kStep + 1> counts{};
  for (const StackFacts& f : stacks)
    for (const signed char s : f.staggers)
      ++counts[static_cast<std::size_t>((std::clamp<int>(s, -kReach, kReach) + kReach + kStep / 2) /
                                        kStep)];
  const int most = *std::max_element(counts.begin(), counts.end());
  if (most == 0) return "";
  const double step = (kWide - kLeft - 6) / static_cast<double>(counts.size()),
               floor = kHigh - kFoot;
  std::string inside;
  for (std::size_t i = 0; i < counts.size(); ++i) {
    const double mm = (static_cast<int>(i) * kStep - kReach) / 10.0;
    const double h = (floor - 12) * std::log1p(counts[i]) / std::log1p(most);
    inside += bar(kLeft + step * static_cast<double>(i), floor - h, step * 0.9, h, "#cfd4d8",
                  fixed(mm, 1) + " mm: " + std::to_string(counts[i]));
  }
  for (const int mm : {-1, 0, 1})
    inside += label(kLeft + step * (5.0 * mm + 10.5), kHigh - 8, "middle", std::to_string(mm));
  inside += label(kLeft, kHigh - 8, "start", "-2 mm or less") +
            label(kWide - 2, kHigh - 8, "end", "2 mm or more");
  inside += label(kLeft - 6, 20, "end", std::to_string(most));
  return plot("Stagger of all modules seen (heights by the logarithm)", kHigh, inside);
}

std::string frequent_findings(const std::vector<StackFacts>& stacks) {
  std::map<std::string, int> counts;
  for (const StackFacts& f : stacks)
    for (const std::string& code : f.codes) ++counts[code];
  std::vector<std::pair<std::string, int>> ranked(counts.begin(), counts.end());
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const auto& a, const auto& b) { return a.second > b.second; });
  if (ranked.size() > 12) ranked.resize(12);
  if (ranked.empty()) return "";
  std::string inside;
  double y = 4;
  for (const auto& [code, n] : ranked) {
    inside +=
        label(176, y + 14, "end", code) +
        bar(184, y, (kWide - 244) * n / ranked.front().second, 17, "#cfd4d8",
            code + ": " + std::to_string(n) + " stacks") +
        label(190 + (kWide - 244) * n / ranked.front().second, y + 14, "start", std::to_string(n));
    y += 22;
  }
  return plot("Stacks with each finding, the most frequent first", y + 4, inside);
}

// [name, verdict, findings, taken, failure, pictures, small pictures]
std::string rows_json(const std::vector<StackFacts>& stacks) {
  std::string rows = "[";
  for (const StackFacts& f : stacks) {
    Json small = Json::array();
    for (const std::string& picture : f.pictures) small.push_back(thumbnail_name(picture));
    const Json row{f.stack,   static_cast<int>(f.verdict),
                   f.codes,   f.taken_at.substr(0, 16),
                   f.failure, f.pictures,
                   small};
    rows += (rows.size() > 1 ? ",\n" : "") +
            row.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  }
  std::string safe;
  for (const char c : rows) safe += c == '<' ? std::string("\\u003c") : std::string(1, c);
  return safe + "]";
}

std::string verdict_buttons(const std::vector<StackFacts>& stacks) {
  std::array<std::size_t, 4> counts{};
  for (const StackFacts& f : stacks) ++counts[static_cast<std::size_t>(f.verdict)];
  std::string html;
  for (const BatchVerdict v : kVerdicts) {
    const auto i = static_cast<std::size_t>(v);
    html += "<button class=\"v" + std::to_string(i) + "\" aria-pressed=\"false\" data-v=\"" +
            std::to_string(i) + "\"><b>" + std::to_string(counts[i]) + "</b> " + name_of(v) +
            "<small>" + kMeaning[i] + "</small></button>";
  }
  return html;
}

std::string unplaced_list(const std::vector<Unplaced>& unplaced) {
  if (unplaced.empty()) return "";
  std::string html =
      "<details><summary>" + std::to_string(unplaced.size()) + " photos of no stack</summary><ul>";
  for (const Unplaced& u : unplaced)
    html += "<li><code>" + escaped(u.file) + "</code>: " + escaped(u.why) + "</li>";
  return html + "</ul></details>";
}

}  // namespace

std::string index_page(const std::vector<StackFacts>& stacks,
                       const std::vector<Unplaced>& unplaced) {
  return std::string("<!doctype html><html lang=\"en\"><meta charset=\"utf-8\">") +
         "<meta name=\"viewport\" content=\"width=device-width\"><title>" +
         std::to_string(stacks.size()) + " stacks checked</title><style>" + kIndexStyle +
         "</style><h1>" + std::to_string(stacks.size()) + " stacks checked</h1>" +
         "<p class=\"caution\"><b>Caution, high voltage.</b> Qualified people only, with insulated "
         "tools and gloves: service plug out, wait for discharge, prove with a meter that no "
         "voltage is there. A pass here is of the photos, and as old as they are.</p>" +
         "<div class=\"verdicts\">" + verdict_buttons(stacks) + "</div>" + "<div class=\"plots\">" +
         verdicts_over_time(stacks) + frequent_findings(stacks) + stagger_histogram(stacks) +
         "</div>" + kIndexControls + unplaced_list(unplaced) +
         "<script>const rows=" + rows_json(stacks) + ";\n" + kIndexScript + "</script></html>\n";
}

}  // namespace plumbstack
