// Who writes on a stack.
#pragma once

#include "lettering.hpp"
#include "scene.hpp"

namespace scene {

struct Hands {
  Writer number;  // of the sequence numbers
  Writer other;   // of capacity figures and older numbers
};

Hands choose_hands(Dice& dice, const LetteringShop& shop);
/// Writing as those hands do it; shop and dice must outlive what is returned.
SceneTexts texts_by(const Hands& hands, const LetteringShop& shop, Dice& dice);

}  // namespace scene
