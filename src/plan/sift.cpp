// Which modules are within the pack's limits, and what is wrong with the others.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "plan_parts.hpp"
#include "plumbstack/base/html_text.hpp"

namespace plumbstack {
namespace {

void add_reason(std::string& reasons, const std::string& reason) {
  reasons += (reasons.empty() ? "" : "; ") + reason;
}

std::string own_faults(const TestedModule& module, const PlanRule& limits) {
  std::string reasons;
  if (module.leak == LeakTest::failed) add_reason(reasons, "leak test failed");
  if (module.leak == LeakTest::not_done) add_reason(reasons, "leak test not done");
  if (limits.capacity_min_ah &&
      millionths(module.capacity_ah) < millionths(*limits.capacity_min_ah))
    add_reason(reasons, "capacity " + short_number(module.capacity_ah) + " Ah is under " +
                            short_number(*limits.capacity_min_ah) + " Ah");
  if (limits.resistance_max_mohm &&
      millionths(module.resistance_mohm) > millionths(*limits.resistance_max_mohm))
    add_reason(reasons, "resistance " + short_number(module.resistance_mohm) + " mΩ is over " +
                            short_number(*limits.resistance_max_mohm) + " mΩ");
  return reasons;
}

struct Window {
  std::int64_t low = 0, high = 0;  // of what it holds, microvolts
};

// As wide as `width`, holding as many as can be; of such, the narrowest, then the one whose middle
// is nearest to the middle voltage.
Window fullest_window(std::vector<std::int64_t> volts, std::int64_t width) {
  std::sort(volts.begin(), volts.end());
  const std::int64_t middle = volts[volts.size() / 2];
  Window best;
  std::size_t most = 0;
  const auto off = [&](const Window& w) { return std::llabs((w.low + w.high) / 2 - middle); };
  for (std::size_t from = 0, end = 0; from < volts.size(); ++from) {
    while (end < volts.size() && volts[end] - volts[from] <= width) ++end;
    const Window window{volts[from], volts[end - 1]};
    const auto span = window.high - window.low, best_span = best.high - best.low;
    const bool better =
        end - from > most || (end - from == most &&
                              (span < best_span || (span == best_span && off(window) < off(best))));
    if (!better) continue;
    best = window;
    most = end - from;
  }
  return best;
}

std::string volts_text(std::int64_t microvolts) {
  return fixed(static_cast<double>(microvolts) * 1e-6, 3);
}

void refuse_by_voltage(const std::vector<TestedModule>& modules, double limit_mv, Sifted& sifted) {
  if (sifted.good.empty()) return;
  std::vector<std::int64_t> volts;
  for (const std::size_t i : sifted.good) volts.push_back(millionths(modules[i].voltage_v));
  const Window window = fullest_window(volts, millionths(limit_mv * 1e-3));
  std::vector<std::size_t> good;
  for (const std::size_t i : sifted.good) {
    const std::int64_t own = millionths(modules[i].voltage_v);
    if (own >= window.low && own <= window.high)
      good.push_back(i);
    else
      sifted.refused.push_back({i, "voltage " + volts_text(own) + " V is outside " +
                                       volts_text(window.low) + " to " + volts_text(window.high) +
                                       " V, where most modules are (limit " +
                                       short_number(limit_mv) + " mV)"});
  }
  sifted.good = good;
}

}  // namespace

std::int64_t millionths(double value) {
  return std::llround(value * 1e6);
}

std::string short_number(double value) {
  std::string text = fixed(value, 3);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text;
}

Sifted sift(const std::vector<TestedModule>& modules, const PlanRule& limits) {
  Sifted sifted;
  for (std::size_t i = 0; i < modules.size(); ++i) {
    const std::string faults = own_faults(modules[i], limits);
    if (faults.empty())
      sifted.good.push_back(i);
    else
      sifted.refused.push_back({i, faults});
  }
  if (limits.voltage_spread_mv) refuse_by_voltage(modules, *limits.voltage_spread_mv, sifted);
  std::sort(sifted.refused.begin(), sifted.refused.end(),
            [](const RefusedModule& a, const RefusedModule& b) { return a.module < b.module; });
  return sifted;
}

}  // namespace plumbstack
