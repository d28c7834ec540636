#include <libheif/heif.h>

#include <memory>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "parts.hpp"

namespace plumbstack {
namespace {

using Context = std::unique_ptr<heif_context, decltype(&heif_context_free)>;
using Handle = std::unique_ptr<heif_image_handle, decltype(&heif_image_handle_release)>;
using Image = std::unique_ptr<heif_image, decltype(&heif_image_release)>;

Handle primary(const Context& context, Bytes bytes) {
  heif_image_handle* handle = nullptr;
  if (heif_context_read_from_memory_without_copy(context.get(), bytes.data(), bytes.size(), nullptr)
          .code == heif_error_Ok)
    heif_context_get_primary_image_handle(context.get(), &handle);
  return Handle(handle, &heif_image_handle_release);
}

ExifFacts exif_of(const Handle& handle) {
  heif_item_id id = 0;
  if (heif_image_handle_get_list_of_metadata_block_IDs(handle.get(), "Exif", &id, 1) != 1)
    return {};
  std::vector<std::uint8_t> block(heif_image_handle_get_metadata_size(handle.get(), id));
  if (block.size() < 12 ||
      heif_image_handle_get_metadata(handle.get(), id, block.data()).code != heif_error_Ok)
    return {};
  // Four bytes say how far the TIFF header is from here (ISO/IEC 23008-12 A.2.1).
  const std::size_t skip = 4 + (std::size_t{block[0]} << 24 | std::size_t{block[1]} << 16 |
                                std::size_t{block[2]} << 8 | block[3]);
  if (skip >= block.size()) return {};
  return parse_exif(Bytes(block).subspan(skip));
}

}  // namespace

std::optional<cv::Size> heif_size(Bytes bytes) {
  const Context context(heif_context_alloc(), &heif_context_free);
  const Handle handle = primary(context, bytes);
  if (!handle) return std::nullopt;
  return cv::Size(heif_image_handle_get_width(handle.get()),
                  heif_image_handle_get_height(handle.get()));
}

std::optional<Decoded> decode_heif(Bytes bytes, const ImageHeader& header) {
  const Context context(heif_context_alloc(), &heif_context_free);
  const Handle handle = primary(context, bytes);
  if (!handle) return std::nullopt;
  heif_image* raw = nullptr;
  if (heif_decode_image(handle.get(), &raw, heif_colorspace_RGB, heif_chroma_interleaved_RGB,
                        nullptr)
          .code != heif_error_Ok)
    return std::nullopt;
  const Image image(raw, &heif_image_release);
  int stride = 0;
  const std::uint8_t* data =
      heif_image_get_plane_readonly(image.get(), heif_channel_interleaved, &stride);
  if (!data) return std::nullopt;
  const cv::Mat rgb(heif_image_get_height(image.get(), heif_channel_interleaved),
                    heif_image_get_width(image.get(), heif_channel_interleaved), CV_8UC3,
                    const_cast<std::uint8_t*>(data), static_cast<std::size_t>(stride));
  Decoded out;
  if (rgb.cols != header.width || rgb.rows != header.height) return std::nullopt;
  cv::cvtColor(rgb, out.pixels, cv::COLOR_RGB2BGR);
  out.exif = exif_of(handle);
  return out;
}

}  // namespace plumbstack
