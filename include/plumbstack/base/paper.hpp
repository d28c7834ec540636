#pragma once

namespace plumbstack {

enum class Paper { a4, letter };

}  // namespace plumbstack
