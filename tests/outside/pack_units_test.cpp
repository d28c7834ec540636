// The bundled packs against published units and voltages.
#include <gtest/gtest.h>

#include "plumbstack/pack.hpp"

namespace plumbstack {
namespace {

Pack bundled(const std::string& id) {
  const auto pack = load_pack(PLUMBSTACK_SOURCE_DIR "/models/packs/" + id + ".json");
  if (!pack) throw std::runtime_error(pack.error().message);
  return *pack;
}

double nominal_v(const Pack& pack) {
  return pack.modules * pack.electrical->cells_per_module * pack.electrical->nominal_v_per_cell;
}

// NiMH cells are 1.2 V nominal (IEC 61951-2), so six cells 7.2 V: 28 modules 201.6 V, 34 244.8 V.
TEST(NominalVoltage, Iec61951) {
  EXPECT_NEAR(nominal_v(bundled("long-28")), 201.6, 1e-9);
  EXPECT_NEAR(nominal_v(bundled("long-34")), 244.8, 1e-9);
}

// High voltage begins above 60 V DC (UN ECE R100), and charged cells count: open circuit up to 1.4
// V a cell. Every bundled pack is over it, as the cautions say.
TEST(HighVoltage, UnEceR100) {
  for (const char* id : {"long-34", "long-28", "medium-28", "short-40", "top-20", "lying-24"}) {
    const Pack pack = bundled(id);
    EXPECT_DOUBLE_EQ(pack.electrical->charged_v_per_cell, 1.4) << id;
    EXPECT_GT(
        pack.modules * pack.electrical->cells_per_module * pack.electrical->charged_v_per_cell, 60)
        << id;
  }
}

// NIST SP 811 App. B.8: 1 lbf.in = 0.1129848 N.m. A bus nut torque of about 55 lbf.in is common
// practice, no source.
TEST(BusNutTorque, NistSp811) {
  EXPECT_NEAR(*bundled("long-34").bus_nut_torque_nm, 55 * 0.1129848, 0.05);
}

}  // namespace
}  // namespace plumbstack
