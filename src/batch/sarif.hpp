// Findings for tools that gather findings: Static Analysis Results Interchange Format 2.1.0 (OASIS
// standard, 2020).
#pragma once

#include <nlohmann/json.hpp>
#include <ostream>

namespace plumbstack {

/// One log of one run, written as it comes: the results of an archive need not be held at once.
class SarifLog {
 public:
  explicit SarifLog(std::ostream& out);
  /// @param result document of a stack, its files named as they lie in the archive
  void add(const nlohmann::ordered_json& result);
  /// A stack that could not be checked.
  void add_failure(const std::string& stack, const std::string& failure);
  void end();

 private:
  void write(const nlohmann::ordered_json& result);

  std::ostream& out_;
  bool first_ = true;
};

}  // namespace plumbstack
