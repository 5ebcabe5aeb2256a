import type { CellKind, Registry } from "../src/graph/defineCell.ts";
import { basecoatBlend } from "./basecoat-blend/define.ts";
import { batch } from "./batch/define.ts";
import { calibration } from "./calibration/define.ts";
import { coatPlan } from "./coat-plan/define.ts";
import { correction } from "./correction/define.ts";
import { coverage } from "./coverage/define.ts";
import { dayPlan } from "./day-plan/define.ts";
import { fading } from "./fading/define.ts";
import { groundRanking } from "./ground-ranking/define.ts";
import { howSure } from "./how-sure/define.ts";
import { jobRecord } from "./job-record/define.ts";
import { jobSheet } from "./job-sheet/define.ts";
import { jointPlanCell } from "./joint-plan/define.ts";
import { layerPicture } from "./layer-picture/define.ts";
import { budget } from "./light-budget/define.ts";
import { lightToLight } from "./light-to-light/define.ts";
import { note } from "./note/define.ts";
import { oneDrop } from "./one-drop/define.ts";
import { photo } from "./photo/define.ts";
import { pigmentSet } from "./pigment-set/define.ts";
import { question } from "./question/define.ts";
import { quote } from "./quote/define.ts";
import { ratioSweep } from "./ratio-sweep/define.ts";
import { recipe } from "./recipe/define.ts";
import { substrate } from "./substrate/define.ts";
import { target } from "./target/define.ts";
import { threePaints } from "./three-paints/define.ts";
import { viewing } from "./viewing/define.ts";
import { weighOut } from "./weigh-out/define.ts";
import { whatIf } from "./what-if/define.ts";

/** Every kind of cell, in the order in which they are offered. Adding a kind is a folder and a line here. */
const kinds: readonly CellKind[] = [
  target,
  photo,
  fading,
  pigmentSet,
  viewing,
  substrate,
  basecoatBlend,
  recipe,
  coatPlan,
  coverage,
  ratioSweep,
  whatIf,
  howSure,
  groundRanking,
  threePaints,
  jointPlanCell,
  budget,
  layerPicture,
  lightToLight,
  oneDrop,
  weighOut,
  correction,
  calibration,
  question,
  batch,
  dayPlan,
  quote,
  jobSheet,
  jobRecord,
  note,
];

export const registry: Registry = new Map(kinds.map((kind) => [kind.kind, kind]));
