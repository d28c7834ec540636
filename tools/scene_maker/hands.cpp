#include "hands.hpp"

namespace scene {

Hands choose_hands(Dice& dice, const LetteringShop& shop) {
  const Writer first = shop.any_writer(dice);
  const Writer second = dice.chance(0.4)   ? first
                        : dice.chance(0.5) ? shop.any_writer(dice)
                                           : shop.printed(dice);
  return {first, second};
}

SceneTexts texts_by(const Hands& hands, const LetteringShop& shop, Dice& dice) {
  const auto by = [&](const Writer& writer) {
    return [&shop, &dice, writer](const std::string& text, double height_px) {
      return shop.draw(text, height_px, writer, dice);
    };
  };
  return {by(hands.number), by(hands.other)};
}

}  // namespace scene
