// Voltages, torque and the limit of high voltage against published values.
#include "plumbstack/electrical.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "plumbstack/electrical_files.hpp"

namespace plumbstack {
namespace {

ElectricalInput nominal_row(const Pack& pack) {
  ElectricalInput input;
  input.modules = volts_of_modules(pack, {}, nullptr, "", std::nullopt)->modules;
  input.stacked.resize(input.modules.size());
  return input;
}

Pack bundled(const std::string& id) {
  const auto pack = load_pack(PLUMBSTACK_SOURCE_DIR "/models/packs/" + id + ".json");
  if (!pack) throw std::runtime_error(pack.error().message);
  return *pack;
}

// A row of n equal cells of which m are reversed gives E = (n - 2m) E1 (textbook arithmetic of
// cells in series, the same in many of them: four cells with one reversed give 2 E1, twenty with
// two reversed 16 E1).
TEST(CellsInSeries, WithSomeReversed) {
  for (const auto& [cells, reversed, sum] : {std::tuple(4, 1, 2), std::tuple(20, 2, 16)}) {
    Pack pack = bundled("long-34");
    pack.modules = cells;
    pack.electrical = ElectricalRule{1, 1.0, 1.2, 1};
    ElectricalInput input = nominal_row(pack);
    for (int i = 0; i < reversed; ++i)
      input.stacked[static_cast<std::size_t>(2 * i + 1)].way_round = WayRound::wrong;
    EXPECT_NEAR(*electrical_preview(pack, input).as_stacked_v, sum, 1e-9);
  }
}

// NiMH cells are 1.2 V nominal (IEC 61951-2), six of them 7.2 V: 28 modules 201.6 V, with one
// reversed 187.2 V; 34 modules 244.8 V, with one reversed 230.4 V. Its block reads nothing.
TEST(NominalVoltage, Iec61951WithOneModuleReversed) {
  for (const auto& [id, whole, reversed] :
       {std::tuple("long-28", 201.6, 187.2), std::tuple("long-34", 244.8, 230.4)}) {
    const Pack pack = bundled(id);
    ElectricalInput input = nominal_row(pack);
    EXPECT_NEAR(electrical_preview(pack, input).intended_v, whole, 1e-9);
    input.stacked[10].way_round = WayRound::wrong;
    const Preview preview = electrical_preview(pack, input);
    EXPECT_NEAR(*preview.as_stacked_v, reversed, 1e-9);
    EXPECT_NEAR(*preview.blocks[5].as_stacked_v, 0, 1e-9);
    EXPECT_NEAR(*preview.blocks[4].as_stacked_v, 14.4, 1e-9);
  }
}

// High voltage is over 60 V and up to 1500 V DC (UN ECE R100). Eight modules are 57.6 V nominal,
// and 67.2 V at 1.4 V a cell: the eighth passes it.
TEST(HighVoltage, UnEceR100) {
  EXPECT_EQ(kHighVoltageV, 60);
  const HighVoltage high =
      electrical_preview(bundled("long-34"), nominal_row(bundled("long-34"))).high;
  EXPECT_EQ(high.fewest_modules, 8);
  EXPECT_NEAR(7 * high.charged_module_v, 58.8, 1e-9);
  EXPECT_NEAR(8 * high.charged_module_v, 67.2, 1e-9);
}

// The sum of n voltages, each uncertain by u: sqrt(n) u where they are independent, n u where they
// are fully correlated (JCGM 100:2008, 5.1.2 and 5.2.2). 28 of 10 mV: 52.9 mV or 280 mV. Ours is
// the latter, so never less than either.
TEST(Tolerance, Jcgm100) {
  Pack pack = bundled("long-28");
  ElectricalInput input = nominal_row(pack);
  for (ModuleVolts& module : input.modules) module.span = {module.v - 0.01, module.v + 0.01};
  input.meter = {0, 0, 0.01};
  const VoltSpan span = electrical_preview(pack, input).meter;
  EXPECT_NEAR((span.high - span.low) / 2, 0.28, 1e-9);
  EXPECT_GT((span.high - span.low) / 2, std::sqrt(28) * 0.01);
}

// NIST SP 811, Appendix B.8: 1 lbf.in = 0.1129848 N.m. From its exact definitions, 1 lbf =
// 4.4482216152605 N and 1 in = 0.0254 m, it is 0.1129848290276167 N.m.
TEST(Torque, NistSp811) {
  EXPECT_NEAR(kNewtonMetresInPoundForceInch, 0.1129848, 5e-8);
  EXPECT_NEAR(kNewtonMetresInPoundForceInch, 0.1129848290276167, 1e-16);
  EXPECT_NEAR(pound_force_inches(0.1129848290276167), 1, 1e-12);
  // 55 lbf.in is 6.214 N.m.
  EXPECT_NEAR(pound_force_inches(6.214), 55, 0.005);
  EXPECT_NEAR(pound_force_inches(6.2), 54.875, 0.001);
}

}  // namespace
}  // namespace plumbstack
