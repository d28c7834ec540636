// A second reader of numbers that shares nothing with the network: Tesseract on the crop's ink.
// Where both read the same, each on its own, the reading is worth more than either alone.
#pragma once

#include <array>
#include <filesystem>
#include <future>
#include <memory>
#include <opencv2/core.hpp>
#include <optional>
#include <string>

namespace plumbstack {

enum class Tone { dark, light };  // of the ink against its ground

struct SecondReading {
  std::string text;  // digits only, never empty
  int votes = 0;     // scales that read exactly this; 2..3. Not a probability
};

/// Reads one grey crop of a writing that stands upright. A narrow interface, so that tests can
/// answer for the engine.
class SecondReader {
 public:
  virtual ~SecondReader() = default;
  /// @param grey 8-bit, one channel: the writing in its middle and some ground around it
  /// @param text_px height of the writing in it
  /// @return nullopt where no reading holds at several scales
  virtual std::optional<SecondReading> read(const cv::Mat& grey, double text_px) = 0;
  /// Why there are no readings at all, a plain sentence; empty where nothing is wrong.
  virtual std::string note() const { return {}; }
};

struct TesseractOptions {
  std::filesystem::path data_folder;  // of eng.traineddata; empty: where Tesseract looks itself
  // Heights of the text at which it is read, px: 30 to 50 is what the engine reads best.
  std::array<double, 3> text_px{36, 28, 48};
};

/// The engine takes a third of a second to start and does so on a thread of its own, from the
/// constructor on; without its data it reads nothing and `note` says why. It keeps buffers: one
/// reader serves one thread at a time.
class TesseractReader final : public SecondReader {
 public:
  explicit TesseractReader(TesseractOptions options = {});
  ~TesseractReader() override;
  std::optional<SecondReading> read(const cv::Mat& grey, double text_px) override;
  std::string note() const override { return note_; }

 private:
  struct Engine;
  static std::unique_ptr<Engine> start(const std::string& folder);
  bool started();
  std::string digits_at(const cv::Mat& grey, double text_px, double to_px, Tone tone);
  std::optional<SecondReading> read_tone(const cv::Mat& grey, double text_px, Tone tone);

  TesseractOptions options_;
  std::future<std::unique_ptr<Engine>> starting_;
  std::unique_ptr<Engine> engine_;
  std::string note_;
};

/// Ground that a crop shows around the box of the writing, in heights of the text: beside it, and
/// above and below.
inline constexpr double kGroundBeside = 0.3, kGroundAbove = 0.12;

/// The ink of a crop, were it of that tone: black on white, 0 or 255, the text `to_px` high, a rim
/// of background around it; empty where the crop has no ink or none that could be writing.
cv::Mat ink_of(const cv::Mat& grey, double text_px, double to_px, Tone tone);

}  // namespace plumbstack
