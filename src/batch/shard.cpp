#include <charconv>

#include "plumbstack/batch.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack {
namespace {

std::optional<int> whole(std::string_view word) {
  int value = 0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (word.empty() || error != std::errc() || end != word.data() + word.size()) return std::nullopt;
  return value;
}

}  // namespace

std::optional<Shard> shard_named(const std::string& word) {
  const std::size_t slash = word.find('/');
  if (slash == std::string::npos) return std::nullopt;
  const auto part = whole(std::string_view(word).substr(0, slash)),
             of = whole(std::string_view(word).substr(slash + 1));
  if (!part || !of || *part < 1 || *part > *of) return std::nullopt;
  return Shard{*part, *of};
}

std::optional<Shard> shard_of_task(const std::function<const char*(const char*)>& variable) {
  const auto number = [&](const char* name) -> std::optional<int> {
    const char* word = variable(name);
    return word ? whole(word) : std::nullopt;
  };
  const auto id = number("SLURM_ARRAY_TASK_ID"), first = number("SLURM_ARRAY_TASK_MIN"),
             step = number("SLURM_ARRAY_TASK_STEP"), count = number("SLURM_ARRAY_TASK_COUNT");
  if (!id || !first || !step || !count || *step < 1 || *id < *first) return std::nullopt;
  const int part = (*id - *first) / *step + 1;
  if (part > *count) return std::nullopt;
  return Shard{part, *count};
}

// By the name alone, so that a stack that is added moves no other to another shard.
bool belongs_to(const std::string& stack, const Shard& shard) {
  const auto* bytes = reinterpret_cast<const std::uint8_t*>(stack.data());
  const std::string hash = sha256_hex({bytes, stack.size()});
  std::uint64_t value = 0;
  std::from_chars(hash.data(), hash.data() + 16, value, 16);
  return value % static_cast<std::uint64_t>(shard.of) == static_cast<std::uint64_t>(shard.part - 1);
}

}  // namespace plumbstack
