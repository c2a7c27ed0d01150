/** A small wheel, pushed on as the barrow's is by the same cutter: for tests that plan again and again, a
 *  third of the work. Six levels; the flanks of a smaller one are struck by the rollers. */
export const SEVEN_TEETH = `title: Spreader pinion, 7 teeth
chain: { designation: "06B" }
sprocket: { teeth: 7, tooth-form: iso606-mid, thickness: 2 mm }
bore: { shape: round, diameter: 5 mm, made-by: lathe }
blank: { held-by: spigot }
material: 42CrMo4-annealed
machine: screw-gantry-light
cutter: { diameter: 3 mm, flutes: 3, stick-out: 12 mm, flute-length: 8 mm }
`;
