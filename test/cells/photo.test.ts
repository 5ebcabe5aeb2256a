import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import type { PhotoTarget } from "../../cells/photo/model/reading.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import type { Outcome } from "../../src/graph/outcome.ts";
import { chartCircles, linedUp, movedTo, usualColumns } from "../../src/photo/arrange.ts";
import { type Circle, sampleCircle } from "../../src/photo/circleSample.ts";
import { type KeptCircle, type KeptPhoto, statisticsToKeep } from "../../src/photo/keptPhoto.ts";
import type { Picture } from "../../src/photo/pictureSpace.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { cameras, photographChart } from "../photo/chartScene.ts";
import { photoColours } from "../photo/ofPicture.ts";
import { seatLab, seatPhotograph, seatPlaces } from "../photo/seatScene.ts";

const seat = seatPhotograph();
const kept = ({ width, height, space }: Picture): KeptPhoto => ({
  // The picture itself is not needed: its circles are sampled already.
  data: "data:image/png;base64,AAAA",
  width,
  height,
  space,
  name: "invented.png",
  from: { width, height },
});

function circle(
  picture: Picture,
  role: KeptCircle["role"],
  place: Circle,
  more: Partial<KeptCircle> = {},
): KeptCircle {
  const id = more.id ?? `${role}-${Math.round(place.x)}-${Math.round(place.y)}`;
  return { id, role, label: id, ...place, sample: statisticsToKeep(sampleCircle(picture, place)), ...more };
}

const cards = [circle(seat, "card", seatPlaces.leftCard), circle(seat, "card", seatPlaces.rightCard)];
const part = circle(seat, "part", seatPlaces.seat);
const usual = { picture: kept(seat), circles: [...cards, part], scene: "D65" };

async function outcomeOf(parameters: Record<string, unknown>): Promise<Outcome<PhotoTarget>> {
  const graph = new NotebookGraph(registry, runDirect);
  try {
    graph.setCells([{ id: "p", kind: "photo", title: "Seat", parameters, inputs: {} }]);
    await graph.settled();
    return graph.outcome("p") as Outcome<PhotoTarget>;
  } finally {
    graph.dispose();
  }
}

async function computed(parameters: Record<string, unknown>) {
  const outcome = await outcomeOf(parameters);
  if (outcome.status !== "ok") throw new Error(JSON.stringify(outcome));
  return { value: outcome.value, notes: outcome.notes.join("\n") };
}

describe("a colour read beside a grey card", () => {
  test("without a page, from kept samples: what the pixels say, and the truth lies within the stated doubt", async () => {
    const { value, notes } = await computed(usual);
    expect(value).toMatchObject({
      kind: "lab",
      illuminant: "D65",
      observer: "1964-10",
      specular: "excluded",
    });
    expect(deltaE2000(seatLab, value.Lab)).toBeLessThan(value.doubt);
    expect(value.doubt).toBeLessThan(10);
    // independent way: straight from the pixels
    const direct = photoColours(seat, {
      cards: [seatPlaces.leftCard, seatPlaces.rightCard],
      patches: [{ label: "card", circle: seatPlaces.leftCard, Lab: [49.5, 0, 0] }],
      parts: [{ label: "seat", circle: seatPlaces.seat }],
      white: weightsFor("1964-10", "D65").white,
      light: "same",
    });
    // One card sample there, the mean of two here; seven digits are kept.
    expect(deltaE2000(direct.parts[0].Lab, value.Lab)).toBeLessThan(0.1);
    expect(notes).toMatch(/corrected with one patch only/i);
    expect(notes).toMatch(/as saturated as an sRGB picture can hold/);
    expect(value.photo.parts[0].beyondSpace).toBe(true);
  });

  test("two card circles take out the fall-off of the light, one does not", async () => {
    const far = circle(seat, "part", { x: 250, y: 330, radius: 28 });
    const near = circle(seat, "part", { x: 520, y: 330, radius: 28 });
    const apart = async (circles: KeptCircle[]) => {
      const { value } = await computed({ ...usual, circles });
      return deltaE2000(value.photo.parts[0].Lab, value.photo.parts[1].Lab);
    };
    expect(await apart([...cards, far, near])).toBeLessThan(0.3); // identity: one surface
    expect(await apart([cards[0], far, near])).toBeGreaterThan(1);
  });

  test("an unknown light is doubted more than a known one", async () => {
    const known = await computed(usual);
    const unknown = await computed({ ...usual, scene: "unknown" });
    expect(unknown.value.doubt).toBeGreaterThan(known.value.doubt);
    expect(unknown.notes).toMatch(/light of the scene is not known/);
    expect(unknown.notes).not.toMatch(/in another light/);
  });

  test("photographed under A and wanted for D65: carried over by a curve, within the stated doubt", async () => {
    const picture = seatPhotograph("A");
    const circles = [
      circle(picture, "card", seatPlaces.leftCard),
      circle(picture, "card", seatPlaces.rightCard),
      circle(picture, "part", seatPlaces.seat),
    ];
    const { value, notes } = await computed({ picture: kept(picture), circles, scene: "A" });
    expect(value.illuminant).toBe("D65");
    expect(value.photo.carrying).toBeGreaterThan(0);
    expect(value.doubt).toBeCloseTo(Math.hypot(value.photo.reading, value.photo.carrying), 12);
    expect(deltaE2000(seatLab, value.Lab)).toBeLessThan(value.doubt);
    expect(notes).toMatch(/read in A incandescent and carried to D65 daylight/i);
  });

  test("several circles on the part are averaged, and the odd one is named", async () => {
    const more = [
      { x: 290, y: 360, radius: 30 },
      { x: 385, y: 330, radius: 30 },
      { x: 300, y: 180, radius: 30 },
    ].map((place) => circle(seat, "part", place));
    const odd = circle(seat, "part", { x: 385, y: 30, radius: 20 }, { label: "bench by mistake" });
    const { value, notes } = await computed({ ...usual, circles: [...cards, part, ...more, odd] });
    expect(value.photo.statistics.outliers).toEqual([4]);
    expect(notes).toMatch(/Bench by mistake does not belong/);
    expect(value.photo.statistics.meanDifference).toBeLessThan(0.3);
  });

  test("the card's own reading counts: a lighter card makes the part lighter", async () => {
    const { value } = await computed({ ...usual, cardL: 60 });
    const { value: plain } = await computed(usual);
    expect(value.Lab[0]).toBeGreaterThan(plain.Lab[0] + 5);
  });
});

describe("what cannot be read is refused with the reason", () => {
  test.each<[string, Record<string, unknown>, RegExp]>([
    ["no picture", { circles: [] }, /There is no photograph/],
    ["no circle on the part", { ...usual, circles: cards }, /No circle lies on the part/],
    ["no known colour", { ...usual, circles: [part] }, /No circle lies on a grey card or a patch/],
    [
      "a highlight",
      { ...usual, circles: [...cards, circle(seat, "part", seatPlaces.glint, { label: "glint" })] },
      /glint: overexposed: \d+ % of the pixels/,
    ],
    [
      "a shadow",
      { ...usual, circles: [...cards, circle(seat, "part", seatPlaces.shadow, { label: "below" })] },
      /below: in shadow/,
    ],
    [
      "too small a circle",
      { ...usual, circles: [...cards, circle(seat, "part", { x: 300, y: 300, radius: 2 })] },
      /only \d+ pixels/,
    ],
    [
      "circles that were never sampled",
      { ...usual, circles: [...cards, { ...part, sample: null }] },
      /not sampled yet: open the notebook in the workbench/,
    ],
    [
      "a patch without its colour",
      { ...usual, circles: [circle(seat, "patch", seatPlaces.leftCard), part] },
      /its known colour is missing/,
    ],
  ])("%s", async (_, parameters, message) => {
    const outcome = await outcomeOf(parameters);
    expect(outcome).toMatchObject({ status: "error", bug: false });
    expect((outcome as { message: string }).message).toMatch(message);
  });

  test("a bad circle among good ones is left out and told", async () => {
    const glint = circle(seat, "part", seatPlaces.glint, { label: "glint" });
    const { value, notes } = await computed({ ...usual, circles: [...cards, part, glint] });
    expect(value.photo.parts).toHaveLength(1);
    expect(notes).toMatch(/glint: overexposed/);
  });

  test("a picture that is no picture", async () => {
    for (const data of ["data:image/svg+xml;base64,AAAA", "https://example.org/a.png", "javascript:1"]) {
      const outcome = await outcomeOf({ ...usual, picture: { ...usual.picture, data } });
      expect(outcome).toMatchObject({ status: "error", field: "picture", bug: false });
    }
  });
});

describe("a chart of known colours", () => {
  const weights = weightsFor("1964-10", "D65");
  const { picture, patches, cards: places } = photographChart(cameras[1], "D65", weights, 3);
  const known = patches.map(({ label, circle: place, Lab }, i) =>
    circle(picture, "patch", place, { id: `patch-${i + 1}`, label, Lab: [Lab[0], Lab[1], Lab[2]] }),
  );
  const chartCards = places.map((place) => circle(picture, "card", place));

  test("is surer than the card alone, and the residuals are told", async () => {
    const asked = known[14];
    const asPart: KeptCircle = { ...asked, id: "part-1", role: "part" };
    const base = { picture: kept(picture), scene: "D65" };
    const byCard = await computed({ ...base, circles: [...chartCards, asPart] });
    const others = known.filter(({ id }) => id !== asked.id);
    const byChart = await computed({ ...base, circles: [...chartCards, ...others, asPart] });
    expect(byChart.value.doubt).toBeLessThan(byCard.value.doubt);
    expect(deltaE2000(asked.Lab!, byChart.value.Lab)).toBeLessThan(byChart.value.doubt);
    const { residuals, refused } = byChart.value.photo;
    // The card and every other patch, but for those at the rim of the space.
    expect(residuals).toHaveLength(24 - refused.size);
    expect(refused.size).toBeLessThan(4);
    expect(byChart.value.photo.residuals[0].label).toBe("grey card");
    expect(byChart.value.photo.model).not.toBe("white balance");
  });

  test("a patch at the rim of the space is left out of the correction, with the reason at its circle", async () => {
    const red = circle(seat, "patch", seatPlaces.seat, { label: "red", Lab: [34, 56, 36] });
    const { value, notes } = await computed({ ...usual, circles: [...cards, part, red] });
    expect(value.photo.refused.get(red.id)!.join()).toMatch(/as saturated as the picture can hold/);
    expect(notes).toMatch(/red: left out of the correction/);
  });

  test("circles for it line up between the four corners", () => {
    const size = { width: 600, height: 400 };
    const laid = chartCircles(
      patches.map(({ label, Lab }) => ({ label, Lab: [Lab[0], Lab[1], Lab[2]] })),
      6,
      [],
      size,
    );
    expect(laid).toHaveLength(24);
    expect(new Set(laid.map(({ id }) => id)).size).toBe(24);
    for (const { x, y, radius } of laid) {
      expect(x - radius).toBeGreaterThanOrEqual(0);
      expect(y + radius).toBeLessThanOrEqual(400);
    }
    // A chart seen at a slant: its corners are laid by hand, the rest follows.
    const corners = new Map([
      [0, { x: 100, y: 100 }],
      [5, { x: 500, y: 140 }],
      [18, { x: 120, y: 300 }],
      [23, { x: 460, y: 320 }],
    ]);
    const moved = laid.map((one, i) => ({ ...one, ...corners.get(i) }));
    const lined = linedUp(moved, 6)!;
    for (const [i, at] of corners) expect(lined[i]).toMatchObject(at); // identity: corners stay
    // identity: on each edge of the grid the patches lie evenly between its corners
    expect(lined[1]).toMatchObject({ x: 180, y: 108 });
    expect(lined[6].y).toBeCloseTo(100 + 200 / 3, 0);
    expect(linedUp(moved, 7)).toBeUndefined();
    expect([24, 4, 6, 5, 1].map(usualColumns)).toEqual([6, 2, 3, 5, 1]);
  });

  test("circles find their places again in the next picture of the same scene", () => {
    const [half] = movedTo([part], { width: 720, height: 480 }, { width: 360, height: 240 });
    expect(half).toMatchObject({
      x: seatPlaces.seat.x / 2,
      y: seatPlaces.seat.y / 2,
      radius: seatPlaces.seat.radius / 2,
      sample: null,
    });
  });
});

test("a recipe follows the photograph", async () => {
  const graph = new NotebookGraph(registry, runDirect);
  const viewing = { id: "v", kind: "viewing", title: "V", parameters: {}, inputs: {} };
  const rack = {
    id: "r",
    kind: "pigment-set",
    title: "R",
    parameters: { set: "Lantern Room rack" },
    inputs: {},
  };
  const recipe = {
    id: "m",
    kind: "recipe",
    title: "M",
    parameters: {
      amounts: [
        { component: "pr254", volume: 20 },
        { component: "binder", volume: 80 },
      ],
    },
    inputs: { pigments: "r", target: "p", viewing: "v" },
  };
  const differenceWith = async (parameters: Record<string, unknown>) => {
    graph.setCells([viewing, rack, recipe, { id: "p", kind: "photo", title: "P", parameters, inputs: {} }]);
    await graph.settled();
    const outcome = graph.outcome("m") as Outcome<{ preview: { opaqueDifference: number } }>;
    if (outcome.status !== "ok") throw new Error(JSON.stringify(outcome));
    return outcome.value.preview.opaqueDifference;
  };
  const before = await differenceWith(usual);
  const after = await differenceWith({ ...usual, cardL: 60 });
  graph.dispose();
  expect(before).toBeGreaterThan(0);
  expect(Math.abs(after - before)).toBeGreaterThan(1);
});
