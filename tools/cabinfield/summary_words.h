// Short texts and roundings that the summaries share.
#pragma once

#include <string>
#include <vector>

#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield::command {

/// Indices of the seats that matter: those of the brief, else those that presets listen at, else the first
/// two.
std::vector<int> listening_seats(const Scene& scene);

std::string rounded_mm(double metres);      ///< to 10 mm, "980"
std::string rounded_ms(double seconds);     ///< to 0.1 ms, "2.9"
std::string whole_db(double level_db);      ///< "-3"; "-" where not finite
std::string readable_frequency(double hz);  ///< "430 Hz", "1.43 kHz"
std::string signed_db(double level_db);     ///< "+3", "0"
std::string side_words(double degrees);     ///< "21 left", "0"
std::string height_words(double degrees);   ///< "34 below"
double head_length_m(const Results& results, std::size_t seat, std::size_t driver);  ///< mean of the ears
double head_arrival_s(const Results& results, std::size_t seat, std::size_t driver);

}  // namespace cabinfield::command
