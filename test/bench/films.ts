import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { line, medianMs } from "./measure.ts";
import { culoriDeltaE2000, plainFilm, plainLab } from "./plain.ts";

const many = 2000;

/** Films (36 wavelengths) and colours per second. */
export async function benchFilms(): Promise<void> {
  const red = lanternRoom.pastes.find((paste) => paste.id === "pr254")!;
  const ground = new Float64Array(36).fill(0.6);
  const out = new Float64Array(36);
  let sum = 0;
  const perSecond = (ms: number) => many / (ms / 1000) / 1e6;
  const film = await medianMs(60, () => {
    for (let k = 0; k < many; k++) {
      filmReflectanceInto(red.absorption, red.scattering, 5 + (k % 40), ground, out);
      sum += out[30];
    }
  });
  const [K, S, Rg] = [red.absorption, red.scattering, ground].map((values) => [...values]);
  const plainFilms = await medianMs(20, () => {
    for (let k = 0; k < many; k++) sum += plainFilm(K, S, 5 + (k % 40), Rg)[30];
  });
  line("films of 36 wavelengths", perSecond(film), perSecond(plainFilms), "M/s");

  const weights = weightsFor("1964-10", "D65");
  const Lab = new Float64Array(3);
  const reference = Float64Array.of(40, 50, 30);
  const spectra = Array.from({ length: 50 }, (_, n) =>
    Float64Array.from({ length: 36 }, (_, i) => 0.05 + ((i * (n + 3)) % 37) / 45),
  );
  const colour = await medianMs(60, () => {
    for (let k = 0; k < many; k++) {
      reflectanceToLab(spectra[k % 50], weights, Lab);
      sum += deltaE2000(reference, Lab);
    }
  });
  const arrays = spectra.map((values) => [...values]);
  const plainColour = await medianMs(20, () => {
    for (let k = 0; k < many; k++) sum += culoriDeltaE2000(reference, plainLab(arrays[k % 50], weights));
  });
  line("XYZ + Lab + ΔE00 (plain: arrays and culori)", perSecond(colour), perSecond(plainColour), "M/s");
  if (!Number.isFinite(sum)) throw new Error("the bench computed nothing");
}
