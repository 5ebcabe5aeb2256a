import { expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import type { PlannedStack } from "../../src/ledger/panelShelf.ts";
import { type SayRequest, say } from "../../src/ledger/say.ts";
import { usualSurface } from "../../src/optics/interface.ts";
import { componentSets } from "../../src/tables/lanternRoom.ts";
import { jointFrom } from "../../src/tables/savedJoint.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import {
  cardInternal,
  type Pour,
  simulatePanels,
  trueComponents,
  trueReflectance,
} from "./simulatePanels.ts";

const weights = weightsFor("1964-10", "D65");
const rack = componentSets["Lantern Room rack"]();
const inUse = ["pw6", "pr254", "po73", "pr101", "binder"];
const shelf = rack.filter(({ id }) => inUse.includes(id));
const truth = { components: trueComponents(shelf, 0.25, 3), bottles: { "pr101: old": 1, "pr101: new": 0.8 } };

const day = (k: number) => `2031-05-${String(k + 1).padStart(2, "0")}`;
const on = (k: number) => (k % 2 === 0 ? "white card" : "black card");
const mixes: Readonly<Record<string, number>>[] = [
  { pw6: 30, binder: 70 },
  { pr254: 10, binder: 90 },
  { po73: 10, binder: 90 },
  { pr101: 10, binder: 90 },
  { pr254: 5, pw6: 20, binder: 75 },
  { po73: 5, pw6: 20, binder: 75 },
  { pr101: 5, pw6: 20, binder: 75 },
  { pr254: 8, po73: 4, binder: 88 },
  { pr101: 8, pr254: 3, binder: 89 },
  { pr254: 16, po73: 3, pw6: 1, binder: 80 },
  { pr101: 6, pw6: 10, binder: 84 },
  { pr101: 8, po73: 6, binder: 86 },
  { pr101: 10, binder: 90 },
  { pr101: 5, pw6: 20, binder: 75 },
];
const pours = mixes.map(
  (parts, k): Pour => ({
    label: `panel ${k + 1}`,
    parts,
    ground: on(k),
    date: day(k),
    batch: "pr101" in parts ? { pr101: k < 10 ? "old" : "new" } : undefined,
  }),
);

const job: PlannedStack = {
  ground: cardInternal("black card"),
  layers: [
    {
      parts: [
        { component: "pr254", amount: 6 },
        { component: "po73", amount: 2 },
        { component: "binder", amount: 24 },
      ],
    },
  ],
};

const request = (all: readonly Pour[], more: Partial<SayRequest> = {}): SayRequest => ({
  panels: simulatePanels(truth, all, 11).map((panel, k) => ({ id: `p${k}`, panel })),
  components: shelf,
  surface: usualSurface,
  weights,
  seed: 1,
  keep: 32,
  ...more,
});

// identity: the panels are simulated, so that the true shelf, the weak bottle and the mixed-up ones are known.
test("panels teach the shelf: errors fall, the weak bottle and two mixed-up bottles are named, and a panel more is quick", () => {
  const wrong: Pour = {
    label: "wrong",
    parts: { pr101: 12, pw6: 3, binder: 85 },
    really: { pr101: 3, pw6: 12, binder: 85 },
    batch: { pr101: "new" },
    ground: "white card",
    date: day(14),
  };
  const said = say(
    request([...pours, wrong], { job, recipe: { components: shelf, volumes: [1, 16, 3, 0, 80] } }),
  );
  expect(said.taken).toBeGreaterThan(0.5);
  // In the last panel two doses were exchanged.
  expect(said.panels.filter(({ contradicts }) => contradicts).map(({ id }) => id)).toEqual(["p14"]);
  expect(said.panels[14].likely).toBe("the doses of Titanium white and Red oxide are exchanged");
  // The new bottle colours a fifth less than the old one.
  const [old, fresh] = said.bottles;
  expect([old.name, fresh.name, old.jump]).toEqual(["old", "new", null]);
  expect(Math.abs((fresh.jump ?? 1) - 0.8)).toBeLessThan(0.1);
  // Draws go along with each paste, all of one posterior, those of red oxide in the strength of the new bottle.
  const joint = said.pastes.map((one) => one.joint!);
  expect(new Set(joint.map(({ posterior }) => posterior)).size).toBe(1);
  expect(joint.map(({ draws }) => draws.length)).toEqual(joint.map(() => 64));
  for (const one of joint) {
    const at550 = jointFrom(one)
      .logs.map((logs) => logs[36 + 17])
      .sort((a, b) => a - b);
    expect(Math.abs(at550[32])).toBeLessThan(at550[60] - at550[32]);
  }
  // What the shelf says now is nearer to the truth than what it said before.
  const pour: Pour = {
    label: "new",
    parts: { pr254: 12, po73: 6, pw6: 3, binder: 79 },
    ground: "black card",
  };
  const Lab = (components: typeof shelf) =>
    reflectanceToLab(trueReflectance({ components }, pour), weights, new Float64Array(3));
  const learnt = shelf.map((component) => {
    const paste = said.pastes.find((one) => one.component === component.id)!;
    return {
      ...component,
      absorption: Float64Array.from(paste.absorption),
      scattering: Float64Array.from(paste.scattering),
    };
  });
  const [before, after] = [shelf, learnt].map((one) => deltaE2000(Lab(truth.components), Lab(one)));
  expect(after).toBeLessThan(before / 2);
  expect(said.errors[said.errors.length - 1].median).toBeLessThan(said.errors[0].median);
  // Each panel chosen narrows the job further.
  expect(said.next).toHaveLength(3);
  expect(said.next[0].expected).toBeLessThan(said.job!);
  expect(said.next[2].expected).toBeLessThan(said.next[0].expected);
}, 300_000);

// identity: the panels are simulated; from the eleventh on red oxide is poured from a bottle of 0.8 of the strength.
test("a jump in strength is found by date where nobody told the bottles, and none where there is none", () => {
  const once: Readonly<Record<string, number>>[] = [
    { pr101: 12, binder: 88 },
    { pr101: 7, pw6: 12, binder: 81 },
    { pr101: 9, binder: 91 },
  ];
  const more = once.flatMap((parts) => [parts, parts]);
  const longer = [...mixes.slice(0, 10), ...more.slice(0, 3), ...mixes.slice(10), ...more.slice(3)];
  const poured = (weak: boolean) =>
    longer.map((parts, k): Pour => {
      const isNew = k >= 13;
      const really = weak && isNew && "pr101" in parts ? { ...parts, pr101: 0.8 * parts.pr101 } : undefined;
      return { label: `panel ${k + 1}`, parts, ground: on(k), date: day(k), ...(really ? { really } : {}) };
    });
  const said = say(request(poured(true)));
  expect(said.bottles).toEqual([]);
  expect(said.shifts!.map(({ paste }) => paste)).toEqual(["Red oxide"]);
  expect(Math.abs(said.shifts![0].jump - 0.8)).toBeLessThan(0.12);
  expect([day(11), day(12), day(13), day(14)]).toContain(said.shifts![0].date);
  expect(say(request(poured(false))).shifts).toEqual([]);
}, 300_000);

// identity: two ways to one posterior, apart by less than its own spread (the draws are few).
test("going on from the last state says what beginning anew says", () => {
  const asInTheCell = { keep: 64 };
  const { state } = say(request(pours.slice(0, 13), asInTheCell));
  const anew = say(request(pours, asInTheCell));
  const on = say(request(pours, { ...asInTheCell, from: state }));
  expect(on.state.panels).toHaveLength(14);
  const L = (said: typeof anew, name: string) => said.pastes.find((one) => one.component === name)!;
  for (const id of ["pr254", "po73", "pr101"]) {
    const [a, b] = [L(anew, id), L(on, id)];
    a.absorption.forEach((K, i) => {
      // Two sets of draws: their means differ by a part of the spread.
      expect(Math.abs(K - b.absorption[i])).toBeLessThan(0.6 * a.absorptionSigma[i] + 1e-6);
    });
  }
  // A state of other panels is not gone on from: the answer is the one that beginning anew gives.
  const other = { ...state, panels: ["x", ...state.panels.slice(1)] };
  expect(say(request(pours, { ...asInTheCell, from: other })).pastes).toEqual(anew.pastes);
}, 300_000);
