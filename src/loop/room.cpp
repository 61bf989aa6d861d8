#include "loop/room.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/error.h"
#include "loop/octave_decay.h"
#include "loop/random.h"
#include "loop/require.h"

namespace brink::loop {

namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDecayPerT60 =
    3.0 * std::numbers::ln10;         // the amplitude falls by exp(-this) in one T60
constexpr int kSincHalfSamples = 16;  // a fractional delay uses this many samples on either side

double first_order_share(Pattern pattern) noexcept {
  switch (pattern) {
    case Pattern::kOmni:
      return 1.0;
    case Pattern::kCardioid:
      return 0.5;
    case Pattern::kSupercardioid:
      // Supercardioid: the most sound from the front compared with the back.
      return (std::numbers::sqrt3 - 1.0) / 2.0;
    case Pattern::kFigureEight:
      return 0.0;
  }
  return 1.0;
}

double cosine_between(const Position& a, const Position& b) noexcept {
  const double dot = a.x_m * b.x_m + a.y_m * b.y_m + a.z_m * b.z_m;
  const Position origin;
  return dot / (distance_m(a, origin) * distance_m(b, origin));
}

void require_inside(const RoomConfig& room, const Position& place, const char* field) {
  constexpr double kFromWallM = 0.05;
  const auto fits = [](double at, double side) {
    return at >= kFromWallM && at <= side - kFromWallM;
  };
  if (!(fits(place.x_m, room.length_m) && fits(place.y_m, room.width_m) &&
        fits(place.z_m, room.height_m))) {
    throw base::Error{
        fmt::format("the {} at {:g}, {:g}, {:g} m is not inside the room of {:g} x {:g} x {:g} m.",
                    field,
                    place.x_m,
                    place.y_m,
                    place.z_m,
                    room.length_m,
                    room.width_m,
                    room.height_m)};
  }
}

void validate_sides(const RoomConfig& room) {
  require(room.length_m, 1.0, 100.0, "room length", "m");
  require(room.width_m, 1.0, 100.0, "room width", "m");
  require(room.height_m, 1.0, 100.0, "room height", "m");
}

void validate(const RoomConfig& room) {
  require(room.sample_rate_hz, 8000.0, 192000.0, "sample rate", "Hz");
  validate_sides(room);
  require(room.t60_s, 0.05, 10.0, "T60", "s");
  require(room.t60_low_ratio, 0.25, 4.0, "T60 low ratio");
  require(room.t60_high_ratio, 0.25, 4.0, "T60 high ratio");
  require_inside(room, room.loudspeaker, "loudspeaker");
  require_inside(room, room.microphone, "microphone");
  require(distance_m(room.loudspeaker, room.microphone), 0.15, 200.0, "distance", "m");
  require(distance_m(room.aim, Position{}), 1e-6, 1e6, "length of the microphone's aim", "m");
}

double volume_m3(const RoomConfig& room) noexcept {
  return room.length_m * room.width_m * room.height_m;
}

// Amplitude reflection of the six walls: x = 0, x = length, y = 0, ... The mean absorption is
// Eyring's. It is divided unevenly among the walls, by +-30 %.
std::array<double, 6> wall_reflections(const RoomConfig& room, Random& random) {
  const double xy = room.length_m * room.width_m;
  const double xz = room.length_m * room.height_m;
  const double yz = room.width_m * room.height_m;
  const std::array<double, 6> area_m2{yz, yz, xz, xz, xy, xy};
  const double total_m2 = 2.0 * (xy + xz + yz);
  // Eyring: T60 = 24 ln 10 V / (c S a), a = -ln(1 - absorption).
  const double mean =
      24.0 * std::log(10.0) * volume_m3(room) / (kSoundSpeedMps * total_m2 * room.t60_s);
  std::array<double, 6> share{};
  double sum = 0.0;
  for (std::size_t wall = 0; wall < 6; ++wall) {
    share[wall] = random.between(0.7, 1.3);
    sum += share[wall] * area_m2[wall];
  }
  std::array<double, 6> reflection{};
  for (std::size_t wall = 0; wall < 6; ++wall) {
    reflection[wall] = std::exp(-0.5 * mean * share[wall] * total_m2 / sum);
  }
  return reflection;
}

// Adds a band-limited impulse at a fractional sample: a sinc with a Hann window.
void add_impulse(std::vector<double>& response, double at_samples, double amplitude) {
  const auto centre = static_cast<std::int64_t>(std::floor(at_samples));
  for (std::int64_t n = centre - kSincHalfSamples + 1; n <= centre + kSincHalfSamples; ++n) {
    if (n < 0 || n >= static_cast<std::int64_t>(response.size())) {
      continue;
    }
    const double x = static_cast<double>(n) - at_samples;
    const double sinc = std::abs(x) < 1e-9 ? 1.0 : std::sin(kPi * x) / (kPi * x);
    const double window = 0.5 + 0.5 * std::cos(kPi * x / kSincHalfSamples);
    response[static_cast<std::size_t>(n)] += amplitude * sinc * window;
  }
}

// Coordinate of image number `index` along one axis, and how often each of its two walls reflected.
struct AxisImage {
  double at_m;
  int low_wall_count;
  int high_wall_count;
};

AxisImage axis_image(double at_m, double side_m, int index) noexcept {
  const bool is_mirrored = index % 2 != 0;
  const double base = static_cast<double>(index) * side_m;
  const int crossings = std::abs(index);
  const int near = crossings / 2;
  const int far = crossings - near;
  return {is_mirrored ? base + side_m - at_m : base + at_m,
          index >= 0 ? near : far,
          index >= 0 ? far : near};
}

class ImageSources {
 public:
  ImageSources(const RoomConfig& room, double end_s, Random& random)
      : room_{room}, end_s_{end_s}, random_{random}, reflection_{wall_reflections(room, random)} {
    if (room.path_seed > 0) {
      random_ = Random{room.seed ^ (room.path_seed * 0x9E3779B97F4A7C15U)};
    }
  }

  void add_to(std::vector<double>& response) {
    const double radius_m = end_s_ * kSoundSpeedMps;
    const int x_count = static_cast<int>(radius_m / room_.length_m) + 1;
    const int y_count = static_cast<int>(radius_m / room_.width_m) + 1;
    const int z_count = static_cast<int>(radius_m / room_.height_m) + 1;
    for (int x = -x_count; x <= x_count; ++x) {
      for (int y = -y_count; y <= y_count; ++y) {
        for (int z = -z_count; z <= z_count; ++z) {
          add_image(response, x, y, z);
        }
      }
    }
  }

 private:
  void add_image(std::vector<double>& response, int x, int y, int z) {
    const AxisImage along_x = axis_image(room_.loudspeaker.x_m, room_.length_m, x);
    const AxisImage along_y = axis_image(room_.loudspeaker.y_m, room_.width_m, y);
    const AxisImage along_z = axis_image(room_.loudspeaker.z_m, room_.height_m, z);
    // A real wall is not a mirror, so each image is moved by a few centimetres. The direct sound is
    // not moved.
    constexpr double kIrregularityM = 0.04;
    const double shift = x == 0 && y == 0 && z == 0 ? 0.0 : kIrregularityM;
    const Position image{along_x.at_m + random_.between(-shift, shift),
                         along_y.at_m + random_.between(-shift, shift),
                         along_z.at_m + random_.between(-shift, shift)};
    const double travel_m = distance_m(image, room_.microphone);
    const double travel_s = travel_m / kSoundSpeedMps;
    if (travel_s >= end_s_) {
      return;
    }
    const Position arrival{image.x_m - room_.microphone.x_m,
                           image.y_m - room_.microphone.y_m,
                           image.z_m - room_.microphone.z_m};
    const double walls = std::pow(reflection_[0], along_x.low_wall_count) *
                         std::pow(reflection_[1], along_x.high_wall_count) *
                         std::pow(reflection_[2], along_y.low_wall_count) *
                         std::pow(reflection_[3], along_y.high_wall_count) *
                         std::pow(reflection_[4], along_z.low_wall_count) *
                         std::pow(reflection_[5], along_z.high_wall_count);
    add_impulse(response,
                travel_s * room_.sample_rate_hz,
                walls * pattern_gain(room_.pattern, cosine_between(arrival, room_.aim)) / travel_m);
  }

  const RoomConfig& room_;
  double end_s_;
  Random& random_;
  std::array<double, 6> reflection_;
};

// Over the second half of the joint the images fade and the tail rises. Their powers add up to one.
double tail_share(double time_s, double direct_s, double joint_s) noexcept {
  const double x = (time_s - direct_s) / (joint_s - direct_s);
  return std::clamp(2.0 * x - 1.0, 0.0, 1.0);
}

}  // namespace

double distance_m(const Position& a, const Position& b) noexcept {
  return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m);
}

double pattern_gain(Pattern pattern, double cosine) noexcept {
  const double share = first_order_share(pattern);
  return share + (1.0 - share) * cosine;
}

double pattern_diffuse_power(Pattern pattern) noexcept {
  const double share = first_order_share(pattern);
  return share * share + (1.0 - share) * (1.0 - share) / 3.0;  // mean of the squared gain
}

double critical_distance_m(const RoomConfig& room) noexcept {
  return std::sqrt(24.0 * std::log(10.0) / kSoundSpeedMps * volume_m3(room) /
                   (room.t60_s * 16.0 * kPi));
}

void place_wedge(RoomConfig& room, double wedge_distance_m, double off_axis_deg) {
  constexpr double kFromWallM = 0.3;
  validate_sides(room);
  require(wedge_distance_m, 0.15, 200.0, "distance", "m");
  require(off_axis_deg, 0.0, 180.0, "angle", "degrees");
  Random random{room.seed ^ 0x9E3779B97F4A7C15U};
  room.microphone = {room.length_m * random.between(0.35, 0.5),
                     room.width_m * random.between(0.4, 0.6),
                     std::min(1.5, room.height_m * 0.5)};
  const double drop_m = std::min(room.microphone.z_m - 0.25, 0.7 * wedge_distance_m);
  const double across_m = std::sqrt(wedge_distance_m * wedge_distance_m - drop_m * drop_m);
  const double turn = random.between(-0.4, 0.4);  // near the direction of the room's length
  room.microphone.x_m =
      std::min(room.microphone.x_m, room.length_m - kFromWallM - across_m * std::cos(turn));
  room.loudspeaker = {room.microphone.x_m + across_m * std::cos(turn),
                      room.microphone.y_m + across_m * std::sin(turn),
                      room.microphone.z_m - drop_m};
  if (room.microphone.x_m < kFromWallM || room.loudspeaker.y_m < kFromWallM ||
      room.loudspeaker.y_m > room.width_m - kFromWallM) {
    throw base::Error{fmt::format(
        "a loudspeaker at a distance of {:g} m does not fit the room of {:g} x {:g} x {:g} m.",
        wedge_distance_m,
        room.length_m,
        room.width_m,
        room.height_m)};
  }
  // Turns the axis away from the loudspeaker, in the vertical plane through both.
  const double down = std::asin(drop_m / wedge_distance_m);
  const double rise = off_axis_deg * kPi / 180.0 - down;
  room.aim = {std::cos(rise) * std::cos(turn), std::cos(rise) * std::sin(turn), std::sin(rise)};
}

std::vector<double> room_response(const RoomConfig& room) {
  validate(room);
  Random random{room.seed};
  const double direct_s = distance_m(room.loudspeaker, room.microphone) / kSoundSpeedMps;
  const double longest_s = room.t60_s * std::max({1.0, room.t60_low_ratio, room.t60_high_ratio});
  const double end_s = direct_s + 1.1 * longest_s;
  std::vector<double> response(static_cast<std::size_t>(end_s * room.sample_rate_hz) + 1);
  // Mixing time from J.-D. Polack: about sqrt(V) ms with V in m3. The images go on three times as
  // long.
  const double joint_s = std::min(end_s, direct_s + 3.0e-3 * std::sqrt(volume_m3(room)));
  ImageSources{room, joint_s, random}.add_to(response);

  const double power_at_start = 4.0 * kPi * kSoundSpeedMps / volume_m3(room) / room.sample_rate_hz *
                                pattern_diffuse_power(room.pattern);
  for (std::size_t n = 0; n < response.size(); ++n) {
    const double time_s = static_cast<double>(n) / room.sample_rate_hz;
    const double share = tail_share(time_s, direct_s, joint_s);
    const double noise = random.normal();
    if (share > 0.0) {
      const double decay = std::exp(-kDecayPerT60 * time_s / room.t60_s);
      response[n] =
          std::sqrt(1.0 - share) * response[n] + std::sqrt(share * power_at_start) * decay * noise;
    }
  }
  shape_octave_decay(room, direct_s, response);
  return response;
}

std::vector<double> delayed_response(const std::vector<double>& samples,
                                     double travel_m,
                                     double sample_rate_hz) {
  require(travel_m, 0.0, 200.0, "distance", "m");
  const auto delay =
      static_cast<std::size_t>(std::llround(travel_m / kSoundSpeedMps * sample_rate_hz));
  std::vector<double> delayed(samples.size() + delay);
  std::copy(samples.begin(), samples.end(), delayed.begin() + static_cast<std::ptrdiff_t>(delay));
  return delayed;
}

}  // namespace brink::loop
