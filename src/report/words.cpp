#include <fmt/format.h>

#include <algorithm>

#include "parts.hpp"

namespace plumbstack::report {
namespace {

struct FactWriter {
  std::string operator()(const Opened& f) const {
    return fmt::format("pack {}, {} modules", f.pack_id, f.modules);
  }
  std::string operator()(const PlanAttached& f) const {
    return fmt::format("{}, {} modules", f.file.name, f.modules.size());
  }
  std::string operator()(const ResultAttached& f) const {
    return fmt::format("{}: {}, {} photos", f.file.name, f.verdict, f.photos.size());
  }
  std::string operator()(const PhotoAttached& f) const {
    return fmt::format("{}, shows {}", f.file.name, f.shows);
  }
  std::string operator()(const SerialsCompared& f) const {
    return fmt::format("{} serials read", f.modules.size());
  }
  std::string operator()(const LineTicked& f) const {
    std::string text = f.line + (f.good ? "" : ": not in order");
    if (!f.figures.empty()) text += ": " + figures_text(f.figures, "");
    return text + (f.note.empty() ? "" : "; " + f.note);
  }
  std::string operator()(const FiguresCorrected& f) const {
    return fmt::format("{} of entry {}: {} was typed, {} is right; {}", f.line, f.corrects,
                       figures_text(f.was, ""), figures_text(f.figures, ""), f.reason);
  }
  std::string operator()(const ModulesLifted& f) const {
    return fmt::format("{}: {}", slots_text(f.slots), f.reason);
  }
  std::string operator()(const ReadingConfirmed& f) const {
    return fmt::format("side {}, slot {}: reads {} {}, planned is {}", f.side, f.slot, f.mark,
                       f.reads, f.planned);
  }
  std::string operator()(const Signed& f) const { return f.note; }
  std::string operator()(const Closed& f) const {
    return f.abandoned.empty() ? "finished" : "unfinished: " + f.abandoned;
  }
};

}  // namespace

std::string time_text(const std::string& time) {
  std::string text = time;
  if (text.size() < 19) return text;
  for (const std::size_t i : {4u, 7u})
    if (text[i] == ':') text[i] = '-';
  if (text[10] == 'T') text[10] = ' ';
  if (text.size() == 20 && text.back() == 'Z') text.pop_back();
  return text;
}

std::string taken_text(const std::string& taken_at) {
  return taken_at.empty() ? "not told" : time_text(taken_at);
}

std::string shortened(const std::string& text, std::size_t most) {
  std::size_t characters = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool inner = (static_cast<unsigned char>(text[i]) & 0xC0) == 0x80;
    if (inner || characters++ < most) continue;
    const auto space = text.rfind(' ', i);  // between words, where one ends soon enough
    const bool near = space != std::string::npos && space + most / 4 > i;
    return text.substr(0, near ? space : i) + "…";
  }
  return text;
}

std::string capitals(const std::string& ascii) {
  std::string text = ascii;
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) {
    return static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c);
  });
  return text;
}

std::string listed_slots(const std::vector<int>& slots) {
  return fmt::format("{}", fmt::join(slots, ", "));
}

std::string slots_text(const std::vector<int>& slots) {
  return (slots.size() == 1 ? "slot " : "slots ") + listed_slots(slots);
}

std::string figures_text(const std::vector<double>& figures, const std::string& unit) {
  std::string text;
  for (const double figure : figures)
    text += (text.empty() ? "" : ", ") + fmt::format("{:g}", figure);
  return text.empty() || unit.empty() ? text : text + " " + unit;
}

std::string limits_text(const CheckLine& line) {
  std::vector<std::string> limits;
  if (line.least) limits.push_back(fmt::format("at least {:.4g} {}", *line.least, line.unit));
  if (line.most) limits.push_back(fmt::format("at most {:.4g} {}", *line.most, line.unit));
  if (line.spread)
    limits.push_back(fmt::format("at most {:.4g} {} apart", *line.spread, line.unit));
  return limits.empty() ? "none" : fmt::format("{}", fmt::join(limits, ", "));
}

std::string fact_text(const Fact& fact) {
  return std::visit(FactWriter{}, fact);
}

const JobEntry& entry_of(const Job& job, int place) {
  return job.entries.at(static_cast<std::size_t>(place - 1));
}

}  // namespace plumbstack::report
