// The nearest known name to a misspelt one.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace cabinfield {

/// The known name nearest to `given`, or empty if none is near. Near means at most a third of the longer
/// name's length in edits (insert, delete, replace, swap of neighbours; from three letters on, one edit is
/// always allowed), ignoring case and the difference between '-', '_' and ' '; else the only known name that
/// begins with `given`, from three letters on. Of equally near names, the one declared first.
///
/// Distance: optimal string alignment (Damerau: Comm. ACM 7 (1964) 171; restricted form).
std::string nearest_name(std::string_view given, const std::vector<std::string>& known);

/// `; did you mean 'NAME'?`, or empty if no known name is near.
std::string nearest_name_hint(std::string_view given, const std::vector<std::string>& known);

}  // namespace cabinfield
