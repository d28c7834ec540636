// Looks and behaviour of the archive's page.
#pragma once

namespace plumbstack {

extern const char* const kIndexStyle;
extern const char* const kIndexControls;
extern const char* const kIndexScript;

}  // namespace plumbstack
