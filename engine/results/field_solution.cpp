#include "results/field_solution.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <set>

#include "base/constants.h"
#include "base/fault.h"
#include "field/images/image_field.h"
#include "field/joined_field.h"
#include "field/wave/complex_symmetric_solver.h"
#include "listening/response.h"
#include "listening/sphere_ear.h"
#include "results/hdf5_reader.h"
#include "results/kept_cabin.h"
#include "results/whole_file.h"

namespace cabinfield {
namespace {

/// What two fields may differ in level over the joint before it is worth a word, dB.
constexpr double worth_telling_db = 6;
constexpr double poor_coherence = 0.5;

/// Above this modes lie so close that one alone says nothing.
constexpr double told_modes_hz = 250;

FieldQuestion question_of(const Scene& scene, int state) {
  FieldQuestion question;
  for (const Seat& seat : scene.seats)
    question.ears.insert(question.ears.end(), seat.ear.begin(), seat.ear.end());
  question.frequency_hz = scene.computation.frequency_hz;
  if (std::any_of(scene.seats.begin(), scene.seats.end(), [](const Seat& seat) { return seat.sphere; })) {
    std::vector<double> wavenumber;
    for (double f : question.frequency_hz) wavenumber.push_back(2 * pi * f / scene.air.sound_speed_m_s);
    question.patterns.resize(question.ears.size());
    for (std::size_t s = 0; s < scene.seats.size(); ++s) {
      if (!scene.seats[s].sphere) continue;
      const auto ears = sphere_ears(wavenumber, 0.5 * (scene.seats[s].ear[1] - scene.seats[s].ear[0]).norm());
      for (std::size_t e : {0, 1}) {
        question.ears[2 * s + e] = scene.seats[s].head;
        question.patterns[2 * s + e] = ears[e];
      }
    }
  }
  question.sources = sources_of(scene, state);
  return question;
}

/// Half of what the machine has.
double memory_allowed_gb() {
  return 0.5 * static_cast<double>(sysconf(_SC_PHYS_PAGES)) * static_cast<double>(sysconf(_SC_PAGE_SIZE)) /
         1e9;
}

WaveMedium medium_of(const Scene& scene, const CabinState& state) {
  WaveMedium medium{scene.air, scene.materials, scene.fillings, state.passages, {}};
  for (const CabinLeak& leak : state.leaks) medium.leaks.push_back({leak.leak, leak.surface});
  return medium;
}

/// In a state other than the first, which one.
std::string of_state(const CabinState& state, int index) {
  return index == 0 ? "" : fmt::format(" (state {})", state.name);
}

/// Cabins solved on the way, by their keys: states often differ in leaks and materials alone.
using SolvedCabins = std::map<std::string, WaveCabin>;

std::shared_ptr<const WaveField> solve_waves(const Scene& scene, int index, const FieldQuestion& question,
                                             const PredictionWish& wish, const Progress& progress,
                                             SolvedCabins& solved, FieldSolution& solution) {
  const CabinState& state = scene.states[index];
  WaveWish wave;
  wave.top_hz = scene.computation.wave_top_hz;
  wave.memory_gb = memory_allowed_gb();
  std::vector<Vector3> ears;
  for (std::size_t n = 0; n < question.ears.size(); ++n) ears.push_back(long_wave_ear(question, n));
  try {
    const std::string key = cabin_key(*state.cabin, ears, wave);
    if (const auto before = solved.find(key); before != solved.end())
      return std::make_shared<WaveField>(*state.cabin, medium_of(scene, state),
                                         regrouped(before->second, *state.cabin), wave);
    if (wish.kept_cabin_folder.empty()) {
      auto field = std::make_shared<WaveField>(*state.cabin, medium_of(scene, state), ears, wave, progress);
      solved.emplace(key, field->solved());
      return field;
    }
    const std::string path = kept_cabin_path(wish.kept_cabin_folder, key);
    try {
      if (std::optional<WaveCabin> kept = read_kept_cabin(path, key, *state.cabin)) {
        const std::size_t before = kept->reduced.shift_hz.size();
        auto field =
            std::make_shared<WaveField>(*state.cabin, medium_of(scene, state), std::move(*kept), wave);
        solution.notes.push_back(
            field->columns_held()
                ? fmt::format("the cabin{} was solved before: taken from {}", of_state(state, index), path)
                : fmt::format(
                      "the cabin{} was solved before, but with other materials: taken from {} and solved "
                      "at {} more frequencies",
                      of_state(state, index), path, field->solved().reduced.shift_hz.size() - before));
        if (!field->columns_held()) write_kept_cabin(path, key, field->solved());
        solved.emplace(key, field->solved());
        return field;
      }
    } catch (const UnreadableFile& problem) {
      solution.warnings.push_back(
          fmt::format("{}; the cabin is solved anew and the file replaced", problem.what()));
    }
    check_writable(path);
    auto field = std::make_shared<WaveField>(*state.cabin, medium_of(scene, state), ears, wave, progress);
    write_kept_cabin(path, key, field->solved());
    solved.emplace(key, field->solved());
    solution.notes.push_back(fmt::format("the solved cabin{} is kept in {}", of_state(state, index), path));
    return field;
  } catch (const MeshFailure& problem) {
    throw InputError({{{}, fmt::format("cabin{}: {}", of_state(state, index), problem.what())}});
  } catch (const TooLarge& problem) {
    throw InputError({{{}, fmt::format("compute.wave_top: {}", problem.what())}});
  } catch (const SolverFailure& problem) {
    throw MachineError(
        fmt::format("the wave field{} could not be solved: {}", of_state(state, index), problem.what()));
  }
}

/// Every seat must hear every driver through air, a filling, a partition or an opening.
void check_reached(const Scene& scene, int index, const FieldQuestion& question, const WaveField& field) {
  std::vector<Fault> faults;
  std::vector<Place> places;  // as question_of lists them
  for (const PlacedDriver& driver : scene.drivers) places.push_back(driver.place);
  for (const PlacedDriver& driver : scene.drivers)
    if (driver.rear) places.push_back(driver.place);
  for (std::size_t d = 0; d < question.sources.size(); ++d) {
    const Source& source = question.sources[d];
    std::vector<std::string> cut_off;
    for (std::size_t s = 0; s < scene.seats.size(); ++s)
      if (!field.reaches(source, question.ears[2 * s]) && !field.reaches(source, question.ears[2 * s + 1]))
        cut_off.push_back(scene.seats[s].name);
    if (!cut_off.empty())
      faults.push_back(
          {places[d],
           fmt::format("{}{}: no sound gets from it to {}: solid blocks cut the cabin in two between "
                       "them. What sound passes is not a solid block: describe it under "
                       "cabin.partitions (a panel, or openings in it) or give the block a filling",
                       source.name, of_state(scene.states[index], index), fmt::join(cut_off, ", "))});
  }
  if (!faults.empty()) throw InputError(std::move(faults));
}

void tell_of_joint(const Scene& scene, const FieldAnswer& answer, FieldSolution& solution) {
  solution.join_coherence = answer.join_coherence;
  solution.join_mismatch_db = answer.join_mismatch_db;
  const std::size_t drivers = scene.drivers.size(), ears = 2 * scene.seats.size();
  double worst = 0, least = 1, sum = 0;
  int joined = 0;
  std::vector<std::string> low;
  for (std::size_t d = 0; d < drivers; ++d) {
    double of_driver = 0;
    int heard = 0;
    for (std::size_t n = 0; n < ears; ++n) {
      const double coherence = answer.join_coherence(d, n);
      if (coherence == 0) continue;  // one of the two is silent there, which is told elsewhere
      of_driver += coherence;
      ++heard;
      least = std::min(least, coherence);
      worst = std::max(worst, std::abs(answer.join_mismatch_db(d, n)));
    }
    sum += of_driver;
    joined += heard;
    if (heard > 0 && of_driver / heard < poor_coherence) low.push_back(scene.drivers[d].name);
  }
  if (joined == 0) return;
  const double top_hz = scene.computation.wave_top_hz;
  if (least < 0.9)
    solution.notes.push_back(
        fmt::format("from {:.0f} to {:.0f} Hz waves and images agree to {:.2f} at the least, {:.2f} in the "
                    "mean (1: fully); levels and phases are blended there",
                    0.5 * top_hz, top_hz, least, sum / joined));
  if (!low.empty())
    solution.warnings.push_back(fmt::format(
        "from {:.0f} to {:.0f} Hz waves and images differ in phase ({}): how channels add there is doubtful",
        0.5 * top_hz, top_hz, fmt::join(low, ", ")));
  if (worst > worth_telling_db)
    solution.notes.push_back(
        fmt::format("from {:.0f} to {:.0f} Hz waves and images differ in level by up to {:.0f} dB",
                    0.5 * top_hz, top_hz, worst));
}

/// Drivers that a seat does not hear from the given frequency up.
void tell_of_silence(const Scene& scene, const Table<Complex, 3>& transfer, std::size_t from,
                     const std::string& why, FieldSolution& solution) {
  const std::size_t frequencies = transfer.shape()[2];
  for (std::size_t d = 0; d < scene.drivers.size(); ++d)
    for (std::size_t s = 0; s < scene.seats.size(); ++s) {
      auto silent = [&](std::size_t n) {
        const Complex* row = transfer.row(d, n);
        return std::all_of(row + from, row + frequencies,
                           [](const Complex& value) { return value == Complex(0); });
      };
      if (silent(2 * s) && silent(2 * s + 1))
        solution.warnings.push_back(
            fmt::format(fmt::runtime(why), scene.drivers[d].name, scene.seats[s].name));
    }
}

/// With grilles, and with what the back of a driver without a box adds. [D,N,F]
Table<Complex, 3> of_drivers(const Scene& scene, const FieldQuestion& question, const FieldAnswer& answer) {
  const std::size_t ears = question.ears.size(), frequencies = question.frequency_hz.size();
  Table<Complex, 3> transfer({scene.drivers.size(), ears, frequencies});
  std::size_t rear = scene.drivers.size();
  for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
    const std::vector<Complex> grille =
        grille_transmission(scene.drivers[d].grille_open_area, scene.air, question.frequency_hz);
    for (std::size_t n = 0; n < ears; ++n) {
      const Complex* front = answer.transfer_pa_s_m3.row(d, n);
      const Complex* back = scene.drivers[d].rear ? answer.transfer_pa_s_m3.row(rear, n) : nullptr;
      for (std::size_t f = 0; f < frequencies; ++f)
        transfer(d, n, f) = front[f] * grille[f] - (back != nullptr ? back[f] : Complex(0));
    }
    if (scene.drivers[d].rear) ++rear;
  }
  return transfer;
}

}  // namespace

std::vector<Source> sources_of(const Scene& scene, int state) {
  std::vector<Source> sources;
  for (std::size_t d = 0; d < scene.drivers.size(); ++d)
    sources.push_back(source_in(scene, static_cast<int>(d), state));
  for (const PlacedDriver& driver : scene.drivers)
    if (driver.rear) {
      Source rear;
      rear.name = driver.name + " (back)";
      rear.position = *driver.rear;
      sources.push_back(rear);
    }
  return sources;
}

FieldSolution solve_fields(const Scene& scene, const PredictionWish& wish, const Progress& progress) {
  FieldSolution solution;
  solution.transfer_pa_s_m3.resize(std::max<std::size_t>(1, scene.states.size()));
  solution.wave_fields.resize(solution.transfer_pa_s_m3.size());
  if (!scene.cabin) {
    solution.kind = "free";
    const FieldQuestion question = question_of(scene, 0);
    solution.transfer_pa_s_m3[0] =
        of_drivers(scene, question, FreeField(scene.air).solve(question, progress));
    return solution;
  }
  std::set<int> asked{0};
  for (const Preset& preset : scene.presets) asked.insert(preset.state);
  const FieldKind kind = scene.computation.field;
  solution.kind = kind == FieldKind::images ? "images" : kind == FieldKind::wave ? "wave" : "joined";
  SolvedCabins solved;
  double done = 0;
  const double share = 1 / static_cast<double>(asked.size());
  for (int index : asked) {
    const CabinState& state = scene.states[index];
    const FieldQuestion question = question_of(scene, index);
    auto part = [&](double from, double to) -> Progress {
      if (!progress) return {};
      return [&, from, to](double of_part) { progress(done + share * (from + (to - from) * of_part)); };
    };
    std::shared_ptr<const WaveField> waves;
    if (kind != FieldKind::images) {
      waves = solve_waves(scene, index, question, wish, part(0, 0.6), solved, solution);
      check_reached(scene, index, question, *waves);
      const ReducedCabin& reduced = waves->solved().reduced;
      solution.waves.push_back(
          {state.name, waves->solved().space->unknowns(), static_cast<int>(reduced.basis.cols()),
           reduced.estimate.error, reduced.estimate.frequency_hz,
           index == 0 ? waves->modes(std::min(told_modes_hz, scene.computation.wave_top_hz))
                      : std::vector<CabinMode>()});
      for (const std::string& note : waves->solved().space->mesh().notes)
        solution.notes.push_back(note + of_state(state, index));
      solution.wave_fields[index] = waves;
    }
    const ImageField images(*state.cabin, scene.materials, scene.air, scene.computation.image_order,
                            state.ways.get());
    FieldAnswer answer;
    if (kind == FieldKind::images) {
      answer = images.solve(question, part(0, 1));
      tell_of_silence(
          scene, answer.transfer_pa_s_m3, 0,
          "{} at {}: no path reaches it, neither straight nor round edges nor by reflection; what of its "
          "bass passes through seats and panels, images cannot tell",
          solution);
    } else if (kind == FieldKind::wave) {
      answer = waves->solve(question);
    } else {
      const JoinedField joined(*waves, images, scene.computation.wave_top_hz);
      answer = joined.solve(question, part(0.6, 1));
      if (index == 0) {
        tell_of_joint(scene, answer, solution);
        if (question.frequency_hz.back() > scene.computation.wave_top_hz)
          tell_of_silence(
              scene, answer.transfer_pa_s_m3, question.frequency_hz.size() - 1,
              fmt::format("{{}} at {{}}: above {:.0f} Hz no path reaches it, neither straight nor round "
                          "edges nor by reflection; it is heard by the wave field alone",
                          scene.computation.wave_top_hz),
              solution);
      }
    }
    for (const std::string& warning : answer.warnings)
      solution.warnings.push_back(warning + of_state(state, index));
    solution.transfer_pa_s_m3[index] = of_drivers(scene, question, answer);
    done += share;
  }
  return solution;
}

}  // namespace cabinfield
