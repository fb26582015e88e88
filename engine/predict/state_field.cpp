#include "predict/state_field.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>

#include "base/fault.h"
#include "base/wavenumber.h"
#include "field/joined_field.h"
#include "field/wave/complex_symmetric_solver.h"
#include "field/wave/reciprocal_wave_field.h"
#include "listening/response.h"
#include "listening/sphere_ear.h"
#include "predict/cabin_cache.h"
#include "storage/hdf5_reader.h"
#include "storage/whole_file.h"

namespace cabinfield {
namespace {

/// Half of the machine's memory.
double memory_allowed_gb() {
  return 0.5 * static_cast<double>(sysconf(_SC_PHYS_PAGES)) * static_cast<double>(sysconf(_SC_PAGE_SIZE)) /
         1e9;
}

WaveMedium medium_of(const Scene& scene, const CabinState& state) {
  WaveMedium medium{scene.air, scene.materials, scene.fillings, state.transfer_impedances, {}};
  for (const CabinLeak& leak : state.leaks) medium.leaks.push_back({leak.leak, leak.surface});
  return medium;
}

WaveOptions wave_options(const Scene& scene) {
  WaveOptions options;
  options.top_hz = scene.computation.wave_top_hz;
  options.memory_gb = memory_allowed_gb();
  return options;
}

std::unique_ptr<const Field> image_field(const Scene& scene, int index) {
  if (!scene.cabin) return std::make_unique<FreeField>(scene.air);
  const CabinState& state = scene.states[index];
  return std::make_unique<ImageField>(*state.cabin, scene.materials, scene.air, scene.computation.image_order,
                                      state.ways.get());
}

}  // namespace

std::string of_state(const CabinState& state, int index) {
  return index == 0 ? "" : fmt::format(" (state {})", state.name);
}

std::vector<Source> sources_of(const Scene& scene, int state) {
  std::vector<Source> sources;
  for (std::size_t d = 0; d < scene.drivers.size(); ++d)
    sources.push_back(source_in(scene, static_cast<int>(d), state));
  for (const MountedDriver& driver : scene.drivers)
    if (driver.rear) {
      Source rear;
      rear.name = driver.name + " (back)";
      rear.position = *driver.rear;
      sources.push_back(rear);
    }
  return sources;
}

FieldQuestion question_of(const Scene& scene, int state) {
  FieldQuestion question;
  for (const Seat& seat : scene.seats)
    question.ears.insert(question.ears.end(), seat.ear.begin(), seat.ear.end());
  question.frequency_hz = scene.computation.frequency_hz;
  if (std::any_of(scene.seats.begin(), scene.seats.end(), [](const Seat& seat) { return seat.sphere; })) {
    const std::vector<double> wavenumber = wavenumbers_at(question.frequency_hz, scene.air.sound_speed_m_s);
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

Table<Complex, 3> of_drivers(const Scene& scene, const FieldQuestion& question,
                             const Table<Complex, 3>& transfer_pa_s_m3) {
  const std::size_t ears = question.ears.size(), frequencies = question.frequency_hz.size();
  Table<Complex, 3> transfer({scene.drivers.size(), ears, frequencies});
  std::size_t rear = scene.drivers.size();
  for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
    const std::vector<Complex> grille =
        grille_transmission(scene.drivers[d].grille_open_area, scene.air, question.frequency_hz);
    for (std::size_t n = 0; n < ears; ++n) {
      const Complex* front = transfer_pa_s_m3.row(d, n);
      const Complex* back = scene.drivers[d].rear ? transfer_pa_s_m3.row(rear, n) : nullptr;
      for (std::size_t f = 0; f < frequencies; ++f)
        transfer(d, n, f) = front[f] * grille[f] - (back != nullptr ? back[f] : Complex(0));
    }
    if (scene.drivers[d].rear) ++rear;
  }
  return transfer;
}

StateField::StateField(const Scene& scene, int state, const std::string& cabin_cache_folder,
                       SolvedCabins& solved, const Progress& progress)
    : kind_(scene.cabin ? scene.computation.field : FieldKind::images),
      wave_top_hz_(scene.computation.wave_top_hz),
      waves_(kind_ == FieldKind::images ? nullptr
                                        : solved_waves(scene, state, cabin_cache_folder, solved, progress)),
      images_(image_field(scene, state)) {}

StateField::StateField(const Scene& scene, int state, const WaveCabin& solved)
    : kind_(scene.cabin ? scene.computation.field : FieldKind::images),
      wave_top_hz_(scene.computation.wave_top_hz),
      images_(image_field(scene, state)) {
  if (kind_ == FieldKind::images) return;
  const CabinState& of = scene.states[static_cast<std::size_t>(state)];
  WaveOptions options = wave_options(scene);
  options.enrich = false;
  waves_ = std::make_shared<WaveField>(*of.cabin, medium_of(scene, of), solved, options);
}

std::shared_ptr<const WaveField> StateField::solved_waves(const Scene& scene, int index,
                                                          const std::string& cabin_cache_folder,
                                                          SolvedCabins& solved, const Progress& progress) {
  const FieldQuestion question = question_of(scene, index);
  const CabinState& state = scene.states[index];
  const WaveOptions wave = wave_options(scene);
  std::vector<Vector3> ears;
  for (std::size_t n = 0; n < question.ears.size(); ++n) ears.push_back(long_wave_ear(question, n));
  try {
    const std::string key = cabin_key(*state.cabin, ears, wave);
    if (const auto before = solved.find(key); before != solved.end())
      return std::make_shared<WaveField>(*state.cabin, medium_of(scene, state),
                                         regrouped(before->second, *state.cabin), wave);
    if (cabin_cache_folder.empty()) {
      auto field = std::make_shared<WaveField>(*state.cabin, medium_of(scene, state), ears, wave, progress);
      solved.emplace(key, field->solved());
      return field;
    }
    const std::string path = cached_cabin_path(cabin_cache_folder, key);
    try {
      if (std::optional<WaveCabin> cached = read_cached_cabin(path, key, *state.cabin)) {
        const std::size_t before = cached->reduced.shift_hz.size();
        auto field =
            std::make_shared<WaveField>(*state.cabin, medium_of(scene, state), std::move(*cached), wave);
        notes_.push_back(
            field->basis_sufficed()
                ? fmt::format("solved cabin{} read from {}", of_state(state, index), path)
                : fmt::format(
                      "solved cabin{} read from {}; its materials differ, so it was solved at {} more "
                      "frequencies",
                      of_state(state, index), path, field->solved().reduced.shift_hz.size() - before));
        if (!field->basis_sufficed()) write_cached_cabin(path, key, field->solved());
        solved.emplace(key, field->solved());
        return field;
      }
    } catch (const UnreadableFile& problem) {
      warnings_.push_back(
          fmt::format("{}; the cabin was solved again and the file replaced", problem.what()));
    }
    check_writable(path);
    auto field = std::make_shared<WaveField>(*state.cabin, medium_of(scene, state), ears, wave, progress);
    write_cached_cabin(path, key, field->solved());
    solved.emplace(key, field->solved());
    notes_.push_back(fmt::format("solved cabin{} written to {}", of_state(state, index), path));
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

FieldAnswer StateField::solve(const FieldQuestion& question, const Progress& progress) const {
  if (kind_ == FieldKind::images) return images_->solve(question, progress);
  const Field& waves = prepared_ ? *prepared_ : *waves_;
  if (kind_ == FieldKind::wave) return waves.solve(question, progress);
  return JoinedField(waves, *images_, wave_top_hz_).solve(question, progress);
}

void StateField::store_reciprocal_solutions(const FieldQuestion& question) {
  if (!waves_) return;
  FieldQuestion low = question;
  low.frequency_hz.erase(std::upper_bound(low.frequency_hz.begin(), low.frequency_hz.end(), wave_top_hz_),
                         low.frequency_hz.end());
  prepared_ = std::make_shared<ReciprocalWaveField>(waves_, low);
}

bool StateField::reaches(const Source& source, const Vector3& ear) const {
  return !waves_ || waves_->reaches(source, ear);
}

}  // namespace cabinfield
