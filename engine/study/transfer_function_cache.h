// Transfer functions of many scenes that have most of their drivers, and often their cabin, in common: each
// place of a driver is solved once.
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

/// What the ears of one place hear of a source.
struct SourceTransfer {
  std::vector<Complex> transfer_pa_s_m3;  ///< [N,F]
  std::vector<double> length_m;           ///< [N] of the direct sound; NaN where there is no way
  std::vector<bool> reached;              ///< [S] whether a sound gets to the seat at all
};

/// Everything about a scene but its drivers and channels: scenes with the same site share a field.
class Site {
 public:
  Site(std::shared_ptr<const Scene> scene, int state, SolvedCabins& solved, const Progress& progress);
  /// Takes up the columns of a cabin that is the same but for materials, air and where exactly ears are.
  Site(std::shared_ptr<const Scene> scene, int state, const WaveCabin& solved);

  bool holds(const Scene& scene, int state) const;
  /// Solves what it does not know yet, all at once.
  void learn(const std::vector<Source>& sources, const Progress& progress);
  const SourceTransfer& of(const Source& source) const;
  std::size_t known() const { return known_.size(); }
  /// Bytes of what it knows.
  std::size_t bytes() const;
  void forget() { known_.clear(); }
  const StateField& field() const { return field_; }
  std::shared_ptr<const Cabin> cabin() const {
    return scene_->states[static_cast<std::size_t>(state_)].cabin;
  }

 private:
  using Key = std::array<double, 10>;
  static Key key(const Source& source);

  std::shared_ptr<const Scene> scene_;
  int state_;
  FieldQuestion like_;  // its ears, patterns and frequencies
  StateField field_;
  std::map<Key, SourceTransfer> known_;
};

class TransferFunctionCache {
 public:
  /// Not more than `most_bytes` are held in transfer functions from one call to the next, and so many sites.
  explicit TransferFunctionCache(std::size_t most_bytes = 512u << 20, std::size_t most_sites = 4);

  /// From here on scenes belong to a group of this number. Those of the same shape take up the columns that
  /// the group's first scene got: so what is found for them does not depend on what else was asked before.
  /// Some groups are remembered; true where this one is.
  bool enter(std::uint64_t group);

  /// Solves whatever these scenes, each in the state of its preset, need; all of them at once where they
  /// share a site. [scene] the site of each. For one thread. Throws as solve_fields does, with the faults of
  /// the first site that has any.
  std::vector<std::shared_ptr<const Site>> solve(const std::vector<std::shared_ptr<const Scene>>& scenes,
                                                 int preset, const Progress& progress = {});

  /// The same for scenes drawn from those solved last, whose ears are somewhat elsewhere: the columns of
  /// their cabins are taken up and nothing is remembered of them.
  std::vector<std::shared_ptr<const Site>> solve_sampled(
      const std::vector<std::shared_ptr<const Scene>>& scenes, int preset);

  /// Cabins solved since it was made.
  std::size_t cabins_solved() const { return cabins_solved_; }

 private:
  struct Group {
    std::uint64_t number = 0;
    std::list<std::shared_ptr<Site>> sites;  // the one asked for last comes first
    SolvedCabins solved;
  };
  static constexpr std::size_t most_groups = 4;

  std::size_t most_bytes_, most_sites_;
  std::list<Group> groups_{1};  // the present one comes first
  std::size_t cabins_solved_ = 0;
};

/// The transfer functions of a scene's drivers at a site that knows them: with grilles and backs, as
/// solve_fields has them. [D,N,F]
Table<Complex, 3> transfer_at(const Site& site, const Scene& scene, int state);

}  // namespace cabinfield
