//! Warnings of the estimates, on both sides of their limits, in designs whose sums are round.

use super::said;

const NONE: [&str; 0] = [];

/// A plank of 100 x 100 over 1 m that weighs 10 kg, stiffness 1000 N/mm2, shear far too stiff to count.
fn bridge(arguments: &str) -> String {
    format!(
        "def board beam(thickness: length = 100mm) {{ density: 1000kg/m3  stiffness: 1000N/mm2  shear: 1000000000N/mm2 }}
def box bridge(load: mass, limit: length or none = none, creep: number = 0, way: choice of (simple, clamped) = simple,
               quiet: flag = no) {{
  envelope (1000mm, 100mm, 100mm)
  loose part plank of beam along x {{ x: 0mm .. 1000mm  y: 0mm .. 100mm  z: 0mm .. 100mm }}
  spans(plank, over: plank.x, load: load, limit: limit, creep: creep, ends: way, source: \"our own\")
  if quiet {{ accept(sag, because: \"nobody looks\") }}
}}
box bridge1 = bridge({arguments})"
    )
}

#[test]
fn sag_against_its_limit() {
    // 100 kg in all: 5 W L3 / 384 E I = 5 * 980.665 * 1e9 / (384 * 1000 * 1e8 / 12) = 1.532289 mm. Wood Handbook,
    // FPL-GTR-190 (2010), ch. 9, Table 9-1 (READ).
    assert_eq!(said(&bridge("load: 90kg, limit: 1.5323mm")), NONE);
    assert_eq!(said(&bridge("load: 90kg, limit: 1.532mm")), ["sag"]);
    // Clamped a fifth of it.
    assert_eq!(said(&bridge("load: 90kg, limit: 0.30646mm, way: clamped")), NONE);
    assert_eq!(said(&bridge("load: 90kg, limit: 0.3064mm, way: clamped")), ["sag"]);
    // With creep it is the sag of years that counts: u (1 + kdef), EN 1995-1-1 Eq. 2.3 (MEMORY).
    assert_eq!(said(&bridge("load: 90kg, limit: 3.0646mm, creep: 1")), NONE);
    assert_eq!(said(&bridge("load: 90kg, limit: 3.064mm, creep: 1")), ["sag"]);
    // Its own weight alone, 10 kg.
    assert_eq!(said(&bridge("load: 0kg, limit: 0.15323mm")), NONE);
    assert_eq!(said(&bridge("load: 0kg, limit: 0.1532mm")), ["sag"]);
    // Without a limit nothing is said.
    assert_eq!(said(&bridge("load: 500kg")), NONE);
}

#[test]
fn warnings_are_answered() {
    let text = bridge("load: 90kg, limit: 1mm, quiet: yes");
    let compiled = aumbry::commands::compile(
        &aumbry::sources::MemoryFiles::new().with("d.aum", &format!("aumbry 1\n{text}\n")),
        "d.aum",
        None,
    );
    assert_eq!(compiled.diagnostics.len(), 1);
    assert_eq!(compiled.diagnostics[0].accepted.as_deref(), Some("nobody looks"));
    // An answer to nothing is told.
    assert_eq!(said(&bridge("load: 90kg, limit: 2mm, quiet: yes")), ["accept-unused"]);
}

#[test]
fn lifting_against_its_limit() {
    // NIOSH-LC: 23 kg for one (SECONDARY): two lift 46 kg. A slab of 500 x 100 weighs 50 kg for each metre.
    let stack = |long: &str, more: &str| {
        format!(
            "def board block(thickness: length = 100mm) {{ density: 1000kg/m3 }}
def box stack() {{
  envelope (1000mm, 500mm, 500mm)
  part base of block along x {{ x: 0mm .. {long}  y: 0mm .. 100mm  z: 0mm .. 500mm }}
  {more}
}}
box stack1 = stack()"
        )
    };
    assert_eq!(said(&stack("920mm", "")), NONE);
    assert_eq!(said(&stack("921mm", "")), ["heavy-lift"]);
    // Loose parts and drawers are taken out first.
    let more = "loose part more of block along x { x: 0mm .. 400mm  y: 100mm .. 200mm  z: 0mm .. 500mm }";
    assert_eq!(said(&stack("900mm", more)), NONE);
    assert_eq!(said(&stack("900mm", &format!("{more}  slides(more, along: z, by: 50mm)"))), NONE);
    assert_eq!(said(&stack("900mm", &more.replace("loose ", ""))), ["not-held", "heavy-lift"]);
}

/// A base and a drawer of 20 kg each, 500 deep.
fn chest(by: &str, more: &str) -> String {
    format!(
        "def board block(thickness: length = 100mm) {{ density: 1000kg/m3 }}
def box chest() {{
  envelope (400mm, 500mm, 500mm)
  part base of block along x {{ x: 0mm .. 400mm  y: 0mm .. 100mm  z: 0mm .. 500mm }}
  loose part tray of block along x {{ x: 0mm .. 400mm  y: 300mm .. 400mm  z: 0mm .. 500mm }}
  slides(tray, along: z, by: {by})
  {more}
}}
box chest1 = chest()"
    )
}

#[test]
fn tipping_against_its_limit() {
    // Statics: the base holds 20 kg * 250 mm, the drawer turns 20 kg * (by - 250); 1.5 times that at 416.67 mm.
    assert_eq!(said(&chest("416mm", "")), NONE);
    assert_eq!(said(&chest("417mm", "")), ["tips"]);
    // It opens towards the room whichever way it is written.
    assert_eq!(said(&chest("-417mm", "")), ["tips"]);
    // What hangs does not tip.
    assert_eq!(said(&chest("450mm", "rests(self, on: none)")), NONE);
    // A second drawer, out alone or with the first.
    let second = "loose part tub of block along x { x: 0mm .. 400mm  y: 400mm .. 500mm  z: 0mm .. 500mm }
        slides(tub, along: z, by: 333mm)";
    // Alone each is held by base and the other, together 20 * 250 holds 20 * (83 + by - 250).
    assert_eq!(said(&chest("333mm", second)), NONE);
    assert_eq!(said(&chest("334mm", second)), ["tips"]);
    // A load in the drawer that is out counts, and one on the base holds.
    assert_eq!(said(&chest("400mm", "carries(tray, load: 5kg)")), ["tips"]);
    assert_eq!(said(&chest("400mm", "carries(tray, load: 5kg)  carries(base, load: 5kg)")), NONE);
}

#[test]
fn a_front_rides_with_its_drawer() {
    // A front of 4 kg, fixed to the drawer and nothing else, its middle 50 before the base: out at 400 it turns
    // 20 * 150 + 4 * 450 against 5000, a factor of 1.04; left behind it would be 1.56.
    let front = "loose proud part front of block along x { x: 0mm .. 400mm  y: 300mm .. 400mm  z: -100mm .. 0mm }  fix(front, tray)";
    assert_eq!(said(&chest("400mm", front)), ["tips"]);
}

#[test]
fn an_open_door_turns_a_box() {
    // A door of 400 x 500 x 100 weighs 20 kg; straight out its middle is 50 - 200 before the front. The base of 20 kg
    // holds 250 behind: 5000 / 3000 = 1.67. A door of twice the weight is too much.
    let door = |density: &str| {
        format!(
            "def board block(thickness: length = 100mm) {{ density: 1000kg/m3 }}
def board leaf(thickness: length = 100mm) {{ density: {density} }}
def box case() {{
  envelope (400mm, 600mm, 500mm)
  part base of block along x {{ x: 0mm .. 400mm  y: 0mm .. 100mm  z: 0mm .. 500mm }}
  loose part door of leaf along x {{ x: 0mm .. 400mm  y: 100mm .. 600mm  z: 0mm .. 100mm }}
  swings(door, about: left, through: 90deg)
}}
box case1 = case()"
        )
    };
    assert_eq!(said(&door("1000kg/m3")), NONE);
    assert_eq!(said(&door("2000kg/m3")), ["tips"]);
}
