// Pairs: among all pairings of the least spread of capacity, one of the least spread of resistance.
//
// For a window of capacity and a window of resistance the pairs allowed by both are the edges of a
// graph, and the question is whether it has a matching of `blocks` edges: Edmonds' algorithm, from
// Boost (boost/graph/max_cardinality_matching.hpp). Windows of resistance need only start at the
// sum of some pair. For each start, in an order by lot, it is asked first whether a window narrower
// than the best so far would do; only if it does is the narrowest sought, by halving. By lot, the
// best is improved some ln(starts) times only (backward analysis, as of randomised incremental
// algorithms).
#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/max_cardinality_matching.hpp>
#include <random>

#include "arrange_parts.hpp"

namespace plumbstack {
namespace {

using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS>;

constexpr std::int64_t kMostEdges = 40'000'000;  // looked at, over all graphs: some seconds

struct PairEdge {
  int a, b;
  std::int64_t resistance;
};

class ResistanceWindows {
 public:
  explicit ResistanceWindows(const BlockTask& task) : task_(task) {}

  /// Looks at the pairings with capacities from low to high; keeps the best of all calls.
  void look(std::int64_t low, std::int64_t high) {
    edges_ = edges_within(low, high);
    std::vector<std::int64_t> starts;
    for (const PairEdge& edge : edges_) starts.push_back(edge.resistance);
    starts.erase(std::unique(starts.begin(), starts.end()), starts.end());
    std::shuffle(starts.begin(), starts.end(), lot_);
    for (const std::int64_t start : starts) {
      if (looked_at_ > kMostEdges) return;
      if (!best_.empty() && width_ == 0) return;
      narrow(start);
    }
  }
  bool finished() const { return looked_at_ <= kMostEdges; }
  const Members& best() const { return best_; }

 private:
  std::vector<PairEdge> edges_within(std::int64_t low, std::int64_t high) const {
    std::vector<PairEdge> edges;
    const int n = static_cast<int>(task_.modules.size());
    for (int a = 0; a < n; ++a)
      for (int b = a + 1; b < n; ++b) {
        const Load& one = task_.modules[static_cast<std::size_t>(a)];
        const Load& two = task_.modules[static_cast<std::size_t>(b)];
        const std::int64_t sum = one.capacity + two.capacity;
        if (sum >= low && sum <= high) edges.push_back({a, b, one.resistance + two.resistance});
      }
    std::stable_sort(edges.begin(), edges.end(), [](const PairEdge& x, const PairEdge& y) {
      return x.resistance < y.resistance;
    });
    return edges;
  }

  // The narrowest window from `start` on, if it is narrower than the best so far.
  void narrow(std::int64_t start) {
    const auto first = std::partition_point(
        edges_.begin(), edges_.end(), [&](const PairEdge& e) { return e.resistance < start; });
    auto last = best_.empty() ? edges_.end()
                              : std::partition_point(first, edges_.end(), [&](const PairEdge& e) {
                                  return e.resistance < start + width_;
                                });
    if (!try_edges(first, last)) return;
    auto too_few = first + task_.blocks - 1;  // one edge less than pairs are needed
    while (last - too_few > 1) {
      const auto middle = too_few + (last - too_few) / 2;
      (try_edges(first, middle) ? last : too_few) = middle;
    }
  }

  // True where the edges hold a matching that is large enough; it is kept if it is the best yet.
  bool try_edges(std::vector<PairEdge>::iterator first, std::vector<PairEdge>::iterator last) {
    looked_at_ += last - first;
    if (last - first < task_.blocks || !enough_modules(first, last)) return false;
    Graph graph(task_.modules.size());
    for (auto edge = first; edge != last; ++edge)
      boost::add_edge(static_cast<std::size_t>(edge->a), static_cast<std::size_t>(edge->b), graph);
    std::vector<Graph::vertex_descriptor> mate(task_.modules.size());
    boost::edmonds_maximum_cardinality_matching(graph, mate.data());
    Members pairs;
    for (std::size_t i = 0; i < mate.size(); ++i)
      if (mate[i] != Graph::null_vertex() && mate[i] > i)
        pairs.push_back({static_cast<int>(i), static_cast<int>(mate[i])});
    if (pairs.size() < static_cast<std::size_t>(task_.blocks)) return false;
    pairs.resize(static_cast<std::size_t>(task_.blocks));
    const std::int64_t width = spread_of(task_.modules, pairs).resistance;
    if (best_.empty() || width < width_) {
      best_ = std::move(pairs);
      width_ = width;
    }
    return true;
  }

  // Most windows fail for this alone: too few modules have any partner.
  bool enough_modules(std::vector<PairEdge>::iterator first,
                      std::vector<PairEdge>::iterator last) const {
    std::vector<char> has(task_.modules.size(), 0);
    for (auto edge = first; edge != last; ++edge)
      has[static_cast<std::size_t>(edge->a)] = has[static_cast<std::size_t>(edge->b)] = 1;
    return std::count(has.begin(), has.end(), 1) >= 2 * task_.blocks;
  }

  const BlockTask& task_;
  std::mt19937 lot_{1};
  std::vector<PairEdge> edges_;  // of the window of capacity, ascending resistance
  Members best_;
  std::int64_t width_ = 0;  // spread of resistance of best_
  std::int64_t looked_at_ = 0;
};

}  // namespace

Blocks arrange_pairs(const BlockTask& task) {
  const PairWindows windows = pair_windows(task.modules, task.blocks);
  ResistanceWindows resistance(task);
  for (const std::int64_t low : windows.lows) resistance.look(low, low + windows.width);
  Blocks blocks;
  blocks.capacity_bound = windows.width;
  blocks.resistance_proved = resistance.finished();
  blocks.members = resistance.best();
  if (blocks.members.empty()) {  // the limit was met in the very first window
    blocks.members =
        pairs_within(task.modules, windows.lows.front(), windows.lows.front() + windows.width);
    blocks.members.resize(static_cast<std::size_t>(task.blocks));
  }
  return blocks;
}

}  // namespace plumbstack
