// The methods by which a sound field is found.
#pragma once

namespace cabinfield {

/// `free`: free field, where a scene has no cabin; no scene names it.
enum class FieldKind { images, wave, joined, free };

}  // namespace cabinfield
