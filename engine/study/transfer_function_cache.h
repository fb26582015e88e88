// Transfer functions of many scenes that share most drivers and often the cabin: each driver position is
// solved once.
//
// Two levels: a set holds the transfer functions of one cabin state with its ears; a group holds the sets of
// scenes that are solved from the same reduced bases. The caller passes the group with every request.
#pragma once

#include <array>
#include <list>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "base/parallel.h"
#include "predict/state_field.h"
#include "scene/scene.h"

namespace cabinfield {

/// From one source to the N ears of S seats.
struct SourceTransfer {
  std::vector<Complex> transfer_pa_s_m3;  ///< [N,F]
  std::vector<double> length_m;           ///< [N] of the direct sound; NaN where there is no path
  std::vector<bool> reached;              ///< [S] whether any sound reaches the seat
};

/// Transfer functions to the ears in one state of a cabin. Scenes that differ in drivers and channels alone
/// share a set.
class TransferFunctionSet {
 public:
  /// Solves the cabin, or takes it from `solved`. Throws as solve_fields does.
  TransferFunctionSet(std::shared_ptr<const Scene> scene, int state, SolvedCabins& solved,
                      const Progress& progress);
  /// Reuses the basis of a cabin that differs in materials, air and small moves of the ears alone.
  TransferFunctionSet(std::shared_ptr<const Scene> scene, int state, const WaveCabin& solved);

  /// Whether a scene in a state has the same cabin, materials, air, ears and frequencies.
  bool applies_to(const Scene& scene, int state) const;
  /// Solves for the sources that are not known yet, all in one question.
  void solve(const std::vector<Source>& sources, const Progress& progress);
  /// Throws std::invalid_argument for a source that was not solved.
  const SourceTransfer& at(const Source& source) const;
  /// Sources known.
  std::size_t size() const { return transfer_.size(); }
  /// Memory of the transfer functions.
  std::size_t bytes() const;
  void clear() { transfer_.clear(); }
  const StateField& field() const { return field_; }
  std::shared_ptr<const Cabin> cabin() const {
    return scene_->states[static_cast<std::size_t>(state_)].cabin;
  }

 private:
  using Key = std::array<double, 10>;
  static Key key(const Source& source);

  std::shared_ptr<const Scene> scene_;
  int state_;
  FieldQuestion question_;  // ears, patterns and frequencies of every question to the field
  StateField field_;
  std::map<Key, SourceTransfer> transfer_;
};

/// Scenes of equal cabin geometry: those of one shape reuse the basis of the group's first scene, so what is
/// found for a scene depends on its group alone and not on what else was solved before.
class TransferFunctionGroup {
 public:
  explicit TransferFunctionGroup(std::uint64_t number) : number_(number) {}
  std::uint64_t number() const { return number_; }
  /// True until a scene of the group was solved.
  bool empty() const { return sets_.empty(); }

 private:
  friend class TransferFunctionCache;
  std::uint64_t number_;
  std::list<std::shared_ptr<TransferFunctionSet>> sets_;  // the last used first
  SolvedCabins solved_;
};

/// For one thread.
class TransferFunctionCache {
 public:
  using Scenes = std::vector<std::shared_ptr<const Scene>>;
  using Sets = std::vector<std::shared_ptr<const TransferFunctionSet>>;

  /// Between calls at most `max_bytes` of transfer functions and `max_sets` sets a group are held.
  explicit TransferFunctionCache(std::size_t max_bytes = 512u << 20, std::size_t max_sets = 4);

  /// The group of this number: one of the last few used, or a new and empty one. The handle stays valid when
  /// the cache drops the group.
  std::shared_ptr<TransferFunctionGroup> group(std::uint64_t number);

  /// Solves what these scenes of one group need, each in the state of its preset; scenes that share a set are
  /// solved together. [scene] the set of each. Throws as solve_fields does, with the faults of the first set
  /// that has any.
  Sets solve(TransferFunctionGroup& group, const Scenes& scenes, int preset, const Progress& progress = {});

  /// The same for Monte Carlo samples of scenes solved in the group: their cabins reuse the bases although
  /// ears, air and materials differ somewhat, and no set is stored.
  Sets solve_sampled(const TransferFunctionGroup& group, const Scenes& scenes, int preset) const;

  /// Cabins solved since the cache was made.
  std::size_t cabins_solved() const { return cabins_solved_; }

 private:
  static constexpr std::size_t max_groups = 4;

  std::size_t max_bytes_, max_sets_;
  std::list<std::shared_ptr<TransferFunctionGroup>> groups_;  // the last used first
  std::size_t cabins_solved_ = 0;
};

/// Transfer functions of a scene's drivers from a set that holds them, with grilles and with the rear
/// radiation of drivers without a box, as in FieldSolution. [D,N,F]
Table<Complex, 3> transfer_at(const TransferFunctionSet& set, const Scene& scene, int state);

}  // namespace cabinfield
