// The parts of the report, each a piece of HTML made by its own file. Text is escaped where it
// enters.
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "plumbstack/base/html_text.hpp"
#include "slot_views.hpp"

namespace plumbstack {

/// The picture as an inline JPEG.
std::string inline_picture(const cv::Mat& picture, const std::string& alt);

/// Vector signs that are told apart by shape alone.
std::string verdict_icon(Verdict verdict);
std::string standing_icon(Standing standing);

/// The stack drawn slot by slot, as planned beside as seen, in the slot-up frame.
std::string ladder_svg(const Pack& pack, const Check& check, std::size_t photo_index);

std::string slot_table(const Pack& pack, const Check& check, std::size_t photo_index);
std::string photo_table(const Check& check);

extern const char* const kReportStyle;

}  // namespace plumbstack
