import { type Circle, type CircleSample, sampleCircle } from "../../src/photo/circleSample.ts";
import { coloursOfSamples, type PhotoAnswer, type SampledQuestion } from "../../src/photo/photoColours.ts";
import type { Picture } from "../../src/photo/pictureSpace.ts";

/** A circle on a patch of known colour. */
interface PatchCircle {
  readonly label: string;
  readonly circle: Circle;
  /** Known CIELAB in the light that the colours are wanted for. */
  readonly Lab: ArrayLike<number>;
}

/** A circle on a part whose colour is wanted. */
interface PartCircle {
  readonly label: string;
  readonly circle: Circle;
}

interface PhotoQuestion extends Omit<SampledQuestion, "cards" | "patches" | "parts" | "space"> {
  /** Circles on one uniform card at different places, to see how the light falls off; may be empty. */
  readonly cards: readonly Circle[];
  readonly patches: readonly PatchCircle[];
  readonly parts: readonly PartCircle[];
}

/** Samples the circles of a picture, and asks for the colours. */
export function photoColours(picture: Picture, question: PhotoQuestion): PhotoAnswer {
  const sampled = (circle: Circle): CircleSample => sampleCircle(picture, circle);
  return coloursOfSamples({
    ...question,
    cards: question.cards.map(sampled),
    patches: question.patches.map(({ label, circle, Lab }) => ({ label, samples: [sampled(circle)], Lab })),
    parts: question.parts.map(({ label, circle }) => ({ label, sample: sampled(circle) })),
    space: picture.space,
  });
}
