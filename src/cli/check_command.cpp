#include "check_command.hpp"

#include <CLI/CLI.hpp>
#include <ostream>

#include "model_folder.hpp"
#include "output_folder.hpp"
#include "photo_argument.hpp"
#include "plumbstack/base/staged_files.hpp"
#include "plumbstack/check_stack.hpp"
#include "plumbstack/record.hpp"
#include "verdict_text.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

constexpr const char* kPhotoHelp =
    "SIDE is a side of the pack definition, needed only where two of its sides show the same "
    "marks.\n"
    "EDGE is the edge of the photo at which slot 1 is; needed only where nothing on the photo "
    "tells.\n"
    "A photo whose own name begins like SIDE= is given as ./NAME.\n\n"
    "Example:\n"
    "  plumbstack check --pack models/packs/long-34.json --out FL-0142 \\\n"
    "      number=side1.jpg vent=side2.jpg terminal-a=left.jpg terminal-b=right.jpg";

ExitCode exit_code_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::pass: return ExitCode::pass;
    case Verdict::fix: return ExitCode::fix;
    case Verdict::retake: return ExitCode::retake;
  }
  return ExitCode::internal;
}

// Validators: what is wrong with a word, "" where nothing is.
std::string refuse_unless_edge(const std::string& word) {
  return edge_named(word) ? "" : "'" + word + "' is no edge; write top, bottom, left or right";
}

std::string refuse_unless_megapixels(const std::string& word) {
  double value = 0;
  const bool good = CLI::detail::lexical_cast(word, value) && value >= 0.001 && value <= 2000;
  return good ? "" : "'" + word + "' is no number from 0.001 to 2000";
}

CheckOptions options_of(const CheckArguments& arguments) {
  CheckOptions options;
  options.photo.max_megapixels = arguments.max_megapixels;
  options.debug_dir = arguments.debug_dir;
  return options;
}

// The networks and their buffers are the greater part of the memory: gone before pictures are
// drawn.
Result<Check> checked(const CheckArguments& arguments, const Pack& pack,
                      const std::vector<PhotoRequest>& requests) {
  const auto folder = find_model_folder(arguments.nets);
  if (!folder) return tl::unexpected(folder.error());
  auto nets = load_nets(*folder);
  if (!nets) return tl::unexpected(nets.error());
  return check_stack(pack, requests, *nets, options_of(arguments));
}

Result<ExitCode> check_into(const CheckArguments& arguments, std::ostream& say) {
  const auto pack = load_pack(arguments.pack);
  if (!pack) return tl::unexpected(pack.error());
  const auto requests = photo_requests(*pack, arguments.photos, edge_named(arguments.slot_1));
  if (!requests) return tl::unexpected(requests.error());
  const auto check = checked(arguments, *pack, *requests);
  if (!check) return tl::unexpected(check.error());
  const auto written = write_record(arguments.out, *pack, *check);
  if (!written) return tl::unexpected(written.error());
  say << verdict_text(*pack, *check, arguments.out);
  return exit_code_of(check->judgement.verdict);
}

}  // namespace

CLI::App& add_check_command(CLI::App& app, CheckArguments& a) {
  CLI::App& check = *app.add_subcommand("check", "Check the photos of one stack");
  check.add_option("--pack", a.pack, "Pack definition (JSON)")->required()->type_name("PACK.json");
  check.add_option("--out", a.out, "Folder for the result, the pictures and the report")
      ->required()
      ->type_name("DIR");
  check
      .add_option("--slot-1", a.slot_1,
                  "Edge of the photos at which slot 1 is: top, bottom, left or right")
      ->check(refuse_unless_edge)
      ->type_name("EDGE");
  check.add_option("--max-megapixels", a.max_megapixels, "Refuse larger photos (up to 2000)")
      ->check(refuse_unless_megapixels)
      ->capture_default_str()
      ->type_name("N");
  check.add_option("--debug-dir", a.debug_dir, "Write one picture for each stage to this folder")
      ->type_name("DIR");
  check.add_option("--nets", a.nets, "Folder of the networks (else $PLUMBSTACK_MODELS/nets)")
      ->type_name("DIR");
  check.add_option("photo", a.photos, "One photo for each side: [SIDE[@EDGE]=]PHOTO")
      ->required()
      ->type_name("PHOTO");
  check.footer(kPhotoHelp);
  return check;
}

Result<void> retire_result_in(const fs::path& folder) {
  std::error_code error;
  if (!fs::is_directory(folder, error)) return {};
  if (auto retired = retire_old_result(folder); !retired) return retired;
  // Report and pictures say the old verdict too, and are what people open.
  std::vector<std::string> names{"report.html"};
  for (const auto& entry : fs::directory_iterator(folder, error))
    if (const std::string name = entry.path().filename(); name.ends_with(".annotated.jpg"))
      names.push_back(name);
  for (const std::string& name : names)
    if (auto retired = retire_file(folder, name); !retired) return retired;
  return {};
}

Result<ExitCode> run_check(const CheckArguments& arguments, std::ostream& say) {
  const auto out = OutputFolder::open(arguments.out);
  if (!out) return tl::unexpected(out.error());
  if (const auto retired = retire_result_in(arguments.out); !retired)
    return tl::unexpected(retired.error());
  if (arguments.debug_dir.empty()) return check_into(arguments, say);
  const auto debug = OutputFolder::open(arguments.debug_dir);
  if (!debug) return tl::unexpected(debug.error());
  return check_into(arguments, say);
}

}  // namespace plumbstack
