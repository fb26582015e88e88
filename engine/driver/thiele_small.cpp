#include "driver/thiele_small.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <string_view>

#include "base/constants.h"

namespace cabinfield {
namespace {

// The eleven parameters, then three auxiliaries: with them every solvable set can be solved one relation at a
// time.
enum Symbol : int { Fs, Qes, Qms, Qts, Vas, Re, Sd, Mms, Cms, Rms, Bl, X, Res, Rts, symbol_count };
constexpr int parameter_count = X;

using SymbolSet = std::uint32_t;
constexpr SymbolSet bit(int symbol) { return SymbolSet{1} << symbol; }
constexpr SymbolSet every_symbol = bit(symbol_count) - 1;

// As a data sheet prints them: name, unit, and how many of the unit make one SI unit.
struct Printed {
  std::string_view name, unit;
  double per_si;
};
constexpr std::array<Printed, symbol_count> printed{{{"Fs", " Hz", 1},
                                                     {"Qes", "", 1},
                                                     {"Qms", "", 1},
                                                     {"Qts", "", 1},
                                                     {"Vas", " L", 1e3},
                                                     {"Re", " ohm", 1},
                                                     {"Sd", " cm2", 1e4},
                                                     {"Mms", " g", 1e3},
                                                     {"Cms", " mm/N", 1e3},
                                                     {"Rms", " kg/s", 1},
                                                     {"Bl", " Tm", 1},
                                                     {"2 pi Fs Mms", " kg/s", 1},
                                                     {"Bl^2/Re", " kg/s", 1},
                                                     {"Rms + Bl^2/Re", " kg/s", 1}}};

// Which given value wins where more is given than needed; thiele_small.h says why.
constexpr std::array<Symbol, parameter_count> precedence{Re, Fs, Qes, Qms, Sd, Mms, Vas, Cms, Bl, Rms, Qts};

// Product of powers of symbols, equal to a constant.
struct Product {
  std::array<int, symbol_count> power{};
  double constant = 1;
};

// whole^power = part^power + other^power
struct Sum {
  Symbol whole, part, other;
  int power;
};
constexpr std::array<Sum, 2> sums{{{Rts, Res, Rms, 1}, {Qts, Qes, Qms, -1}}};

std::vector<Product> products(const Air& air) {
  auto product = [](std::initializer_list<std::pair<Symbol, int>> factors, double constant) {
    Product made;
    made.constant = constant;
    for (auto [symbol, power] : factors) made.power[symbol] = power;
    return made;
  };
  const double stiffness = air.density_kg_m3 * air.sound_speed_m_s * air.sound_speed_m_s;
  return {product({{Fs, 2}, {Mms, 1}, {Cms, 1}}, 1 / (4 * pi * pi)),
          product({{X, 1}, {Fs, -1}, {Mms, -1}}, 2 * pi),
          product({{X, 1}, {Fs, 1}, {Cms, 1}}, 1 / (2 * pi)),
          product({{Vas, 1}, {Sd, -2}, {Cms, -1}}, stiffness),
          product({{Res, 1}, {Re, 1}, {Bl, -2}}, 1),
          product({{Qes, 1}, {Res, 1}, {X, -1}}, 1),
          product({{Qms, 1}, {Rms, 1}, {X, -1}}, 1),
          product({{Qts, 1}, {Rts, 1}, {X, -1}}, 1)};
}

SymbolSet symbols_of(const Product& product) {
  SymbolSet set = 0;
  for (int symbol = 0; symbol < symbol_count; ++symbol)
    if (product.power[symbol] != 0) set |= bit(symbol);
  return set;
}
SymbolSet symbols_of(const Sum& sum) { return bit(sum.whole) | bit(sum.part) | bit(sum.other); }

using Values = std::array<double, symbol_count>;

double solve(const Product& product, int unknown, const Values& value) {
  double logarithm = std::log(product.constant);
  for (int symbol = 0; symbol < symbol_count; ++symbol)
    if (symbol != unknown && product.power[symbol] != 0)
      logarithm -= product.power[symbol] * std::log(value[symbol]);
  return std::exp(logarithm / product.power[unknown]);
}

// Not positive, or not a number, where none fits.
double solve(const Sum& sum, int unknown, const Values& value) {
  auto raised = [&](Symbol symbol) { return std::pow(value[symbol], sum.power); };
  double solution = unknown == sum.whole  ? raised(sum.part) + raised(sum.other)
                    : unknown == sum.part ? raised(sum.whole) - raised(sum.other)
                                          : raised(sum.whole) - raised(sum.part);
  return std::pow(solution, sum.power);
}

std::string list(const std::vector<std::string>& items, std::string_view last_joint) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i)
    text += (i == 0 ? "" : i + 1 == items.size() ? fmt::format(" {} ", last_joint) : ", ") + items[i];
  return text;
}

std::vector<std::string> names(SymbolSet set) {
  std::vector<std::string> made;
  for (int symbol = 0; symbol < symbol_count; ++symbol)
    if (set & bit(symbol)) made.emplace_back(printed[symbol].name);
  return made;
}

std::string with_unit(int symbol, double value, int digits) {
  return fmt::format("{} {:.{}g}{}", printed[symbol].name, value * printed[symbol].per_si, digits,
                     printed[symbol].unit);
}

// What is known so far, and from which given values each was derived.
class Derivation {
 public:
  explicit Derivation(const Air& air) : products_(products(air)) {}

  bool knows(int symbol) const { return known_ & bit(symbol); }
  double value(int symbol) const { return value_[symbol]; }
  SymbolSet known() const { return known_; }
  SymbolSet source(int symbol) const { return source_[symbol]; }

  void state(int symbol, double value) {
    known_ |= bit(symbol);
    value_[symbol] = value;
    source_[symbol] = bit(symbol);
  }

  // Derives all that follows; returns the symbol for which no positive value exists, if there is one. In each
  // round every symbol takes the derivation from the fewest given values, so that messages name the fewest.
  std::optional<int> derive() {
    for (bool found = true; found;) {
      found = false;
      Derivation next = *this;
      auto consider = [&](const auto& relation) {
        const SymbolSet missing = symbols_of(relation) & ~known_;
        if (!std::has_single_bit(missing)) return;
        const int unknown = std::countr_zero(missing);
        SymbolSet source = 0;
        for (int symbol = 0; symbol < symbol_count; ++symbol)
          if (symbols_of(relation) & known_ & bit(symbol)) source |= source_[symbol];
        if (next.knows(unknown) && std::popcount(next.source_[unknown]) <= std::popcount(source)) return;
        next.known_ |= missing;
        next.value_[unknown] = solve(relation, unknown, value_);
        next.source_[unknown] = source;
        found = true;
      };
      for (const Product& product : products_) consider(product);
      for (const Sum& sum : sums) consider(sum);
      *this = next;
      for (int symbol = 0; symbol < symbol_count; ++symbol)
        if (knows(symbol) && !(value_[symbol] > 0 && std::isfinite(value_[symbol]))) return symbol;
    }
    return std::nullopt;
  }

  // What would be known if these were, whatever their values.
  SymbolSet closure(SymbolSet known) const {
    for (SymbolSet before = 0; before != known;) {
      before = known;
      auto consider = [&](const auto& relation) {
        if (std::has_single_bit(symbols_of(relation) & ~known)) known |= symbols_of(relation);
      };
      for (const Product& product : products_) consider(product);
      for (const Sum& sum : sums) consider(sum);
    }
    return known;
  }

 private:
  std::vector<Product> products_;
  SymbolSet known_ = 0;
  Values value_{};
  std::array<SymbolSet, symbol_count> source_{};
};

// The fewest parameters that complete the set: usual ones first, and every choice there is for the last.
std::string what_is_missing(const Derivation& derivation) {
  const SymbolSet parameters = bit(parameter_count) - 1;
  SymbolSet known = derivation.closure(derivation.known());
  const SymbolSet underivable = parameters & ~known;
  std::vector<std::string> needed;
  for (;;) {
    SymbolSet last = 0;
    for (Symbol symbol : precedence)
      if (!(known & bit(symbol)) && derivation.closure(known | bit(symbol)) == every_symbol)
        last |= bit(symbol);
    if (last) {
      std::vector<std::string> choice = names(last);
      needed.push_back((choice.size() > 1 ? "one of " : "") + list(choice, "or"));
      break;
    }
    for (Symbol symbol : precedence)
      if (!(known & bit(symbol))) {
        needed.emplace_back(printed[symbol].name);
        known = derivation.closure(known | bit(symbol));
        break;
      }
  }
  return fmt::format("{} cannot be derived: add {}", list(names(underivable), "and"), list(needed, "and"));
}

}  // namespace

double ThieleSmall::radius_m() const { return std::sqrt(Sd_m2 / pi); }

ThieleSmallResult derive_thiele_small(const ThieleSmallGiven& given, const Air& air) {
  const std::array<std::optional<double>, parameter_count> stated{
      given.Fs_hz, given.Qes,    given.Qms,     given.Qts,      given.Vas_m3, given.Re_ohm,
      given.Sd_m2, given.Mms_kg, given.Cms_m_n, given.Rms_kg_s, given.Bl_tm};
  ThieleSmallResult result;
  auto& errors = result.errors;

  for (int symbol = 0; symbol < parameter_count; ++symbol)
    if (stated[symbol] && !(*stated[symbol] > 0 && std::isfinite(*stated[symbol])))
      errors.push_back(with_unit(symbol, *stated[symbol], 6) + " is out of range: it must be above 0");
  if (given.Le_h && !(*given.Le_h >= 0 && std::isfinite(*given.Le_h)))
    errors.push_back(fmt::format("Le {:.6g} mH is out of range: it must be 0 or above", *given.Le_h * 1e3));
  if (given.Xmax_m && !(*given.Xmax_m > 0 && std::isfinite(*given.Xmax_m)))
    errors.push_back(fmt::format("Xmax {:.6g} mm is out of range: it must be above 0", *given.Xmax_m * 1e3));
  if (!errors.empty()) return result;

  auto list_stated = [&](SymbolSet set) {
    std::vector<std::string> made;
    for (int symbol = 0; symbol < parameter_count; ++symbol)
      if (set & bit(symbol)) made.push_back(with_unit(symbol, *stated[symbol], 6));
    return list(made, "and");
  };

  Derivation derivation(air);
  for (Symbol symbol : precedence) {
    if (!stated[symbol]) continue;
    if (!derivation.knows(symbol)) {
      derivation.state(symbol, *stated[symbol]);
      if (std::optional<int> impossible = derivation.derive()) {
        errors.push_back(fmt::format("{} disagree: no {} above 0 fits them",
                                     list_stated(derivation.source(*impossible)), printed[*impossible].name));
        return result;
      }
    } else if (std::abs(derivation.value(symbol) - *stated[symbol]) >
               thiele_small_tolerance * *stated[symbol]) {
      const SymbolSet source = derivation.source(symbol);
      errors.push_back(fmt::format("{} disagree: {} give {}", list_stated(source | bit(symbol)),
                                   list(names(source), "and"),
                                   with_unit(symbol, derivation.value(symbol), 3)));
    }
  }
  if (derivation.known() != every_symbol) errors.push_back(what_is_missing(derivation));
  if (!errors.empty()) return result;

  result.set = {.Fs_hz = derivation.value(Fs),
                .Qes = derivation.value(Qes),
                .Qms = derivation.value(Qms),
                .Qts = derivation.value(Qts),
                .Vas_m3 = derivation.value(Vas),
                .Re_ohm = derivation.value(Re),
                .Le_h = given.Le_h.value_or(0),
                .Sd_m2 = derivation.value(Sd),
                .Mms_kg = derivation.value(Mms),
                .Cms_m_n = derivation.value(Cms),
                .Rms_kg_s = derivation.value(Rms),
                .Bl_tm = derivation.value(Bl),
                .Xmax_m = given.Xmax_m};
  return result;
}

Air data_sheet_air() {
  return air_at({data_sheet_temperature_k, data_sheet_humidity, data_sheet_pressure_pa});
}

ThieleSmall in_air(const ThieleSmall& set, const Air& from, const Air& to) {
  if (from == to) return set;
  const double radius = set.radius_m();
  const double load_kg = std::min(set.Mms_kg, 2 * 8.0 / 3 * from.density_kg_m3 * radius * radius * radius);
  ThieleSmall other = set;
  other.Mms_kg += load_kg * (to.density_kg_m3 / from.density_kg_m3 - 1);
  other.Vas_m3 =
      to.density_kg_m3 * to.sound_speed_m_s * to.sound_speed_m_s * set.Sd_m2 * set.Sd_m2 * set.Cms_m_n;
  const double omega = 1 / std::sqrt(other.Mms_kg * set.Cms_m_n);
  other.Fs_hz = omega / (2 * pi);
  other.Qms = omega * other.Mms_kg / set.Rms_kg_s;
  other.Qes = omega * other.Mms_kg * set.Re_ohm / (set.Bl_tm * set.Bl_tm);
  other.Qts = other.Qes * other.Qms / (other.Qes + other.Qms);
  return other;
}

double reference_efficiency(const ThieleSmall& set, const Air& air) {
  const double c = air.sound_speed_m_s;
  return 4 * pi * pi / (c * c * c) * std::pow(set.Fs_hz, 3) * set.Vas_m3 / set.Qes;
}

}  // namespace cabinfield
