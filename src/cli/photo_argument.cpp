// A path may hold '=' and '@' itself, so what stands before the first '=' is a side only if it can
// be one: it holds no '/', and it is a side of the pack, or else no such file exists.
#include "photo_argument.hpp"

#include <map>

namespace plumbstack {
namespace {

std::string side_list(const Pack& pack) {
  std::string list;
  for (const Side& side : pack.sides) list += (list.empty() ? "" : ", ") + side.name;
  return list;
}

Result<PhotoRequest> photo_request(const Pack& pack, const std::string& argument) {
  const std::size_t equals = argument.find('=');
  const std::string front = argument.substr(0, equals == std::string::npos ? 0 : equals);
  if (equals == std::string::npos || front.find('/') != std::string::npos)
    return PhotoRequest{argument, "", std::nullopt};
  const std::size_t at = front.find('@');
  const std::string side = front.substr(0, at);
  if (!pack.side(side)) {
    std::error_code error;
    if (std::filesystem::exists(argument, error)) return PhotoRequest{argument, "", std::nullopt};
    return fail(ErrorCode::side_unknown,
                "'" + side + "' is no side of this pack; its sides are " + side_list(pack),
                argument);
  }
  PhotoRequest request{argument.substr(equals + 1), side, std::nullopt};
  if (request.file.empty())
    return fail(ErrorCode::usage, "names no photo; write " + front + "=PHOTO", argument);
  if (at == std::string::npos) return request;
  request.slot_1_at = edge_named(front.substr(at + 1));
  if (!request.slot_1_at)
    return fail(ErrorCode::usage,
                "'" + front.substr(at + 1) + "' is no edge; write top, bottom, left or right",
                argument);
  return request;
}

// Pictures are named after their photo, so two photos of one name would overwrite each other's.
Result<void> different_names(const std::vector<PhotoRequest>& requests) {
  std::map<std::string, std::string> stems;
  for (const PhotoRequest& request : requests) {
    const auto [first, fresh] = stems.emplace(request.file.stem().string(), request.file.string());
    if (!fresh)
      return fail(ErrorCode::usage,
                  "has the same name as " + first->second +
                      ", so their pictures would too; give different photos or rename one",
                  request.file.string());
  }
  return {};
}

}  // namespace

std::optional<Edge> edge_named(const std::string& word) {
  for (const Edge edge : {Edge::top, Edge::bottom, Edge::left, Edge::right})
    if (word == name_of(edge)) return edge;
  return std::nullopt;
}

Result<std::vector<PhotoRequest>> photo_requests(const Pack& pack,
                                                 const std::vector<std::string>& arguments,
                                                 std::optional<Edge> slot_1_at) {
  std::vector<PhotoRequest> requests;
  for (const std::string& argument : arguments) {
    auto request = photo_request(pack, argument);
    if (!request) return tl::unexpected(request.error());
    if (!request->slot_1_at) request->slot_1_at = slot_1_at;
    requests.push_back(*request);
  }
  if (const auto different = different_names(requests); !different)
    return tl::unexpected(different.error());
  return requests;
}

}  // namespace plumbstack
