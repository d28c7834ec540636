// START HERE.
//
//   photo ──> stack ──> strips ──> marks ──> judgement ──> record
//   load      find      cut        read      compare       keep, show
//
// check_stack is the whole path, written once: photos + pack -> Check. The command line calls it; a
// rule found anywhere else is a bug.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "plumbstack/judge.hpp"
#include "plumbstack/nets.hpp"
#include "plumbstack/pack.hpp"
#include "plumbstack/photo.hpp"
#include "plumbstack/stack.hpp"

namespace plumbstack {

/// One photo as asked for.
struct PhotoRequest {
  std::filesystem::path file;
  std::string side;               // empty = find out from which marks are present
  std::optional<Edge> slot_1_at;  // nullopt = find out as the pack allows
};

struct CheckOptions {
  PhotoOptions photo;  // where bytes are kept, only one photo's pixels are held at a time
  FindStackOptions stack;
  TrustBar trust_bar;
  std::filesystem::path debug_dir;  // empty = no debug pictures
};

/// What is known of one photo after the check; input of the record.
struct CheckedPhoto {
  Photo photo;
  std::string side;
  std::optional<StackFrame> frame;  // in its provisional direction; nullopt = no stack
  SideEvidence evidence;            // slot 1 first
};

struct Check {
  std::vector<CheckedPhoto> photos;
  Judgement judgement;
  TrustBar trust_bar;
  std::map<std::string, double> ms;  // duration of each stage, milliseconds
  std::string note;  // what the check had to do without, one plain sentence; empty = nothing
};

Result<Check> check_stack(const Pack& pack, const std::vector<PhotoRequest>& requests, Nets& nets,
                          const CheckOptions& options = {});

}  // namespace plumbstack
