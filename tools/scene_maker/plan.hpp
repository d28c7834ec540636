// What stands on the bench: the pack, the side photographed, and each module's state. No pixels.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dice.hpp"

namespace scene {

struct Ask {                  // what may be asked for; empty / negative = left to the dice
  std::string side;           // number, vent, top, terminal
  std::string fault;          // a finding code, "none", or "any"
  std::string capture_fault;  // none, blur, glare, crop, dark, occlusion, or "any"
  std::string look;           // plastic family by name
  int modules = -1;
  bool training = false;  // everything at random, many turns: no order, no alternation to learn
  double stagger_mm = 0;  // size of a stagger fault; 0 = at random
};

struct Writing {
  std::string text;
  double x = 0, y = 0;   // centre, strip mm (slot-up frame, y from the strip's top)
  double height = 10;    // mm
  int rotation_deg = 0;  // quarter turn, slot-up frame
  double tilt_deg = 0;
  bool sequence = false;
};

struct MarkAt {
  double x = 0, y = 0;  // strip mm
  // 'v' vent, '+' and '-' signs, 'P' and 'M' plus and minus terminal, 'p' and 'm' their studs on a
  // face that has signs, too.
  char kind = 'v';
  bool under_stud = false;  // a sign that nobody sees: a stud stands on it
};

struct Module {
  bool flipped = false;     // which way round it stands: its drawn face is turned by half a turn
  bool turned = false;      // that is a fault
  bool miswritten = false;  // its number was written while it stood the other way round
  double stagger = 0;       // mm, to the right
  double gap_after = 0;     // mm beyond the pitch
  double top = 0;           // mm along the axis, filled when the plan is laid out
  std::optional<std::uint64_t> plastic;  // seed of its own shade, where several sides show it
  std::vector<Writing> writings;
  std::vector<MarkAt> marks;  // vents and signs
};

struct SidePlan {
  std::string kind;  // number, vent, top, terminal
  std::string name;  // of the side in its pack
  int modules = 0;
  double length = 285, height = 118, thickness = 19.6, pitch = 19.6, strip = 285;
  bool has_number = false, has_vent = false, has_sign = false;
  int first = 1;
  std::string number_end;  // left, right, any
  int number_rotation = 0;
  std::string vent_slot_1_end;
  char sign_slot_1 = '+';
  std::string sign_end;  // left, right, any
  bool red_plus = false, coloured_minus = false;
  std::string minus_color;  // black or blue, where coloured_minus
  bool face_studs = false;  // terminals stand through bright plates on a face that has signs
  bool slot_1_up = false;
  std::string slot_1_at;
  double stagger_limit = 1.0, gap_limit = 2.5;
  std::string fault = "none", capture_fault = "none";
  int declared_modules = 0;  // what the pack definition says; differs for count faults
  std::vector<Module> stack;
  std::vector<std::string> texts;  // sequence number of each slot; empty = none written

  double axis_mm() const;  // from the first border to the last
};

/// Lays out a stack: pack, order, turns, staggers, gaps, writing places.
SidePlan plan_side(Dice& dice, const Ask& ask);

}  // namespace scene
