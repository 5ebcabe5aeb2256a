import "../../src/controls/boleChart.ts";
import { css, html, nothing, type PropertyValues } from "lit";
import { customElement, query, state } from "lit/decorators.js";
import "../../src/controls/boleFile.ts";
import * as v from "valibot";
import { LabToXYZ } from "../../src/colour/Lab.ts";
import { assumedCurve } from "../../src/controls/assumedCurve.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { differenceText, LabText } from "../../src/controls/numbers.ts";
import { screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import type { MovedCircle, PhotoCircles } from "../../src/controls/photoCircles.ts";
import "../../src/controls/photoCircles.ts";
import {
  type HandedPicture,
  keepPicture,
  type PicturePixels,
  pixelsOf,
} from "../../src/controls/pictureDecode.ts";
import "../../src/controls/saveButtons.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { LabFiles } from "../../src/exchange/exportFiles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { addedCircle, firstCircles, markOf, movedTo, placeOf } from "../../src/photo/arrange.ts";
import { type Circle, sampleCircle } from "../../src/photo/circleSample.ts";
import {
  type KeptCircle,
  type KeptPhoto,
  pictureSchema,
  sampleOf,
  statisticsToKeep,
} from "../../src/photo/keptPhoto.ts";
import { pictureWhite, toXYZ } from "../../src/photo/pictureSpace.ts";
import { labelOfIlluminant } from "../../src/tables/illuminants.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import "./view/chartPatches.ts";
import type { CircleEdit } from "./view/circleList.ts";
import "./view/circleList.ts";
import { UntilEdited } from "../../src/controls/untilEdited.ts";
import { photo } from "./define.ts";
import type { PhotoTarget } from "./model/reading.ts";

const tag = "bole-view-photo";
export default tag;

type Parameters = ParameterValues<typeof photo.parameters>;

@customElement(tag)
export class PhotoView extends CellView<PhotoTarget, Parameters> {
  @state() private trouble = "";
  protected readonly untilEdited = new UntilEdited(this, () => (this.trouble = ""));
  @state() private busy = false;
  @state() private chosen = "";
  /** A circle being dragged over a place where it is of no use; the notebook is not troubled with it. */
  @state() private held: KeptCircle | undefined;
  @query("bole-photo-circles") private stage!: PhotoCircles | null;
  /** Pixels of the kept picture, to sample circles from; they stay in this page. */
  #pixels: { of: string; pixels: PicturePixels } | undefined;
  #decoding = "";

  constructor() {
    super();
    this.addEventListener("bole-picture", (event) => void this.#handed(event as CustomEvent<HandedPicture>));
  }

  protected override updated(changed: PropertyValues): void {
    super.updated(changed);
    if (changed.has("parameters")) void this.#decode();
  }

  protected override render() {
    const { picture, circles } = this.parameters;
    const { value } = this;
    return html`
      ${value && this.outcome.status === "ok" ? this.verdictLine(false) : nothing}
      ${value && this.outcome.status === "ok" && value.doubt > 3 ? html`<p class="soft">${advice(value.photo.residuals.length, this.parameters.scene)}</p>` : nothing}
      ${value ? this.#panels(value) : nothing}
      <bole-file
        label=${picture ? "Another photograph" : "Photograph"}
        accept=".jpg,.jpeg,.png,.webp,.avif,.heic"
        .maxBytes=${60_000_000}
        binary
        hint="The part beside a grey card, in one even light, no flash, off the highlight. The picture stays on your own machines; a reduced copy is kept in the notebook."
        @file=${(event: CustomEvent<{ name: string; file: File }>) => void this.#take(event.detail)}
      ></bole-file>
      <div aria-live="polite">
        ${this.busy ? html`<p>Reading the picture …</p>` : nothing}
        ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble} field="Photograph"><p>What was there before stays.</p></bole-message>` : nothing}
      </div>
      ${picture ? this.#workplace(picture, this.#withHeld(circles)) : nothing}
      ${this.#settings()}
      ${value ? this.#residuals(value) : nothing}
      ${this.#otherLights(value)}
      ${value ? html`<bole-save-buttons label="this colour" .name=${this.cell.title} .files=${this.#files(value)}></bole-save-buttons>` : nothing}
    `;
  }

  /** The part as the picture shows it, beside the colour that was read. */
  #panels({ Lab, illuminant, observer, photo: report }: PhotoTarget) {
    const { circles, picture } = this.parameters;
    const weights = weightsFor(observer as "1964-10", illuminant);
    const read = screenColour(LabToXYZ(Lab, weights.white, new Float64Array(3)), { weights, gamut: "srgb" });
    const first = circles.find(({ id }) => id === report.parts[0]?.id);
    const rgb = first?.sample?.rgb;
    const matrix = toXYZ[picture?.space ?? "srgb"];
    const raw =
      rgb &&
      [0, 1, 2].map((i) => matrix[3 * i] * rgb[0] + matrix[3 * i + 1] * rgb[1] + matrix[3 * i + 2] * rgb[2]);
    return html`<div class="panels">
      <bole-swatch
        label="What was read"
        .subLabel=${LabText(Lab)}
        .colour=${read.css}
        .badge=${read.badge}
        .target=${raw ? screenColour(raw, { weights: { white: pictureWhite }, gamut: "srgb" }).css : ""}
        target-label="in the picture"
        sample-label="corrected"
      ></bole-swatch>
    </div>`;
  }

  #workplace(picture: KeptPhoto, circles: readonly KeptCircle[]) {
    const refused = this.#refused(picture, circles);
    const chosen = circles.find(({ id }) => id === this.chosen);
    return html`
      <bole-photo-circles
        .label=${picture.name}
        .src=${picture.data}
        .width=${picture.width}
        .height=${picture.height}
        .chosen=${this.chosen}
        .circles=${circles.map((circle) => ({ ...circle, mark: markOf(circle, placeOf(circle, circles)), refused: refused.has(circle.id) }))}
        @move=${(event: CustomEvent<MovedCircle>) => this.#move(event.detail)}
        @choose=${(event: CustomEvent<{ id: string }>) => (this.chosen = event.detail.id)}
        @remove=${(event: CustomEvent<{ id: string }>) => this.#remove(event.detail.id)}
      ></bole-photo-circles>
      <div class="tools" role="group" aria-label="Circles">
        <button @click=${() => this.#add("card", picture)}>+ Grey card</button>
        <button @click=${() => this.#add("part", picture)}>+ Part</button>
        <button @click=${() => this.#add("patch", picture)}>+ Known patch</button>
        <button ?disabled=${!chosen} aria-label="Smaller circle" @click=${() => this.stage?.resize(1 / 1.15)}>Smaller</button>
        <button ?disabled=${!chosen} aria-label="Larger circle" @click=${() => this.stage?.resize(1.15)}>Larger</button>
      </div>
      <bole-circle-list
        .circles=${circles}
        .chosen=${this.chosen}
        .refused=${refused}
        .report=${this.value?.photo}
        @choose=${(event: CustomEvent<{ id: string }>) => (this.chosen = event.detail.id)}
        @remove=${(event: CustomEvent<{ id: string }>) => this.#remove(event.detail.id)}
        @edit=${(event: CustomEvent<CircleEdit>) => this.#change(event.detail)}
      ></bole-circle-list>
      <p class="soft">
        Put two or more circles on the card, on both sides of the part, and the fall-off of the light is taken out. Several circles
        on the part are averaged.
      </p>
      <bole-chart-patches
        .circles=${circles}
        .size=${picture}
        @circles=${(event: CustomEvent<{ circles: KeptCircle[] }>) => this.#keepCircles(event.detail.circles)}
      ></bole-chart-patches>
    `;
  }

  #settings() {
    const field = (name: keyof typeof photo.parameters) => parameterField(this, photo.parameters, name);
    return html`
      <div class="fields settings">${field("scene")} ${field("cardL")}</div>
      <details>
        <summary>More about card, light and surface</summary>
        <div class="fields">${(["cardA", "cardB", "illuminant", "observer", "specular"] as const).map(field)}</div>
      </details>
    `;
  }

  #residuals({ photo: report }: PhotoTarget) {
    const { residuals, model, fallOff, reading, carrying } = report;
    const even =
      fallOff.model === "none"
        ? "The fall-off of the light was not corrected."
        : `The light on the card varies ${fallOff.range.toFixed(2)}-fold and was evened out (${fallOff.model}).`;
    return html`<details>
      <summary>How sure it is, and why</summary>
      <p>
        Corrected by: ${model}. ${even} Reading: ΔE00 ${reading.toFixed(1)} (nine of ten
        cases)${carrying > 0 ? html`; carrying it to another light: ΔE00 ${carrying.toFixed(1)}` : nothing}.
      </p>
      <div class="scroll" tabindex="0" role="region" aria-label="Known colours">
        <table>
          <caption class="unseen">Known colours, and how well they come back</caption>
          <thead>
            <tr>
              <th scope="col">Known colour</th>
              <th scope="col">Lab</th>
              <th scope="col" class="number">comes back within ΔE00</th>
              <th scope="col" class="number">when it is left out</th>
            </tr>
          </thead>
          <tbody>
            ${residuals.map(
              ({ label, Lab, deltaE, deltaEWithout }) => html`<tr>
                <th scope="row">${label}</th>
                <td>${LabText(Lab)}</td>
                <td class="number">${differenceText(deltaE)}</td>
                <td class="number">${differenceText(deltaEWithout)}</td>
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
    </details>`;
  }

  #otherLights(value: PhotoTarget | undefined) {
    return html`<details ?open=${this.parameters.curve !== "none"}>
      <summary>Other lights</summary>
      <div class="fields">${parameterField(this, photo.parameters, "curve")}</div>
      ${value?.curve ? assumedCurve(value.curve, labelOfIlluminant) : nothing}
    </details>`;
  }

  #files({ Lab, illuminant, observer, specular }: PhotoTarget) {
    const { title } = this.cell;
    return LabFiles(
      [
        {
          kind: "Lab",
          label: title,
          Lab: [Lab[0], Lab[1], Lab[2]],
          illuminant,
          observer: observer as "1964-10",
          specular,
        },
      ],
      `"${title}", read from a photograph, CIELAB`,
    );
  }

  /** Why a circle is of no use: from its own pixels at once, and from the whole when it has been computed. */
  #refused(picture: KeptPhoto, circles: readonly KeptCircle[]): Map<string, readonly string[]> {
    const found = new Map<string, readonly string[]>();
    for (const circle of circles) {
      const reasons = sampleOf(circle, picture.space)?.refusals ?? [];
      if (circle.role === "patch" && !circle.Lab) found.set(circle.id, ["type its known Lab"]);
      else if (reasons.length > 0) found.set(circle.id, reasons);
      else if (this.outcome.status === "ok") {
        const whole = this.value?.photo.refused.get(circle.id);
        if (whole && circle.sample) found.set(circle.id, whole);
      }
    }
    return found;
  }

  /** A picture that a device in the local network has taken: the page hands it to the cell that is open. */
  async #handed({ detail }: CustomEvent<HandedPicture>): Promise<void> {
    await this.#takeKept(async () => v.parse(pictureSchema, detail.picture));
    detail.done(this.trouble || undefined);
  }

  #take({ name, file }: { name: string; file: File }): Promise<void> {
    return this.#takeKept(() => keepPicture(file, name));
  }

  async #takeKept(kept: () => Promise<KeptPhoto>): Promise<void> {
    this.trouble = "";
    this.busy = true;
    try {
      const picture = await kept();
      const { circles, picture: before } = this.parameters;
      const placed = before && circles.length > 0 ? movedTo(circles, before, picture) : firstCircles(picture);
      const pixels = await pixelsOf(picture);
      this.#pixels = { of: picture.data, pixels };
      this.chosen = placed[0].id;
      this.set({ picture, circles: placed.map((circle) => this.#sampled(circle)) });
    } catch (error) {
      this.trouble = (error as Error).message;
    } finally {
      this.busy = false;
    }
  }

  /** Decodes a picture that came with the notebook, and samples circles that never were. */
  async #decode(): Promise<void> {
    const { picture } = this.parameters;
    if (!picture || this.#pixels?.of === picture.data || this.#decoding === picture.data) return;
    this.#decoding = picture.data;
    try {
      const pixels = await pixelsOf(picture);
      // Another picture may have come in the meantime.
      if (this.parameters.picture?.data !== picture.data) return;
      this.#pixels = { of: picture.data, pixels };
      const { circles } = this.parameters;
      if (circles.some(({ sample }) => !sample)) this.#keepCircles(circles);
    } catch (error) {
      this.trouble = (error as Error).message;
    } finally {
      this.#decoding = "";
    }
  }

  /** The circle with what its pixels say; unsampled as long as the picture is being decoded. */
  #sampled(circle: KeptCircle): KeptCircle {
    if (!this.#pixels) return { ...circle, sample: null };
    const { x, y, radius } = circle;
    try {
      const place: Circle = { x, y, radius };
      return { ...circle, sample: statisticsToKeep(sampleCircle(this.#pixels.pixels, place)) };
    } catch {
      // A circle from another picture that does not fit into this one.
      return { ...circle, sample: null };
    }
  }

  #keepCircles(circles: readonly KeptCircle[], live = false): void {
    this.set({ circles: circles.map((circle) => (circle.sample ? circle : this.#sampled(circle))) }, live);
  }

  #move({ id, x, y, radius, live }: MovedCircle): void {
    const { circles, picture } = this.parameters;
    const circle = circles.find((one) => one.id === id);
    if (!circle || !picture) return;
    this.chosen = id;
    const moved = this.#sampled({ ...circle, x, y, radius });
    const usable = (sampleOf(moved, picture.space)?.refusals.length ?? 1) === 0;
    this.held = live && !usable ? moved : undefined;
    if (!this.held)
      this.#keepCircles(
        circles.map((one) => (one.id === id ? moved : one)),
        live,
      );
  }

  #withHeld(circles: readonly KeptCircle[]): readonly KeptCircle[] {
    const { held } = this;
    return held ? circles.map((circle) => (circle.id === held.id ? held : circle)) : circles;
  }

  #add(role: KeptCircle["role"], picture: KeptPhoto): void {
    const { circles } = this.parameters;
    const added = addedCircle(role, circles, picture);
    this.chosen = added.id;
    this.#keepCircles([...circles, added].slice(0, 200));
  }

  #change({ id, patch }: CircleEdit): void {
    this.#keepCircles(
      this.parameters.circles.map((circle) => (circle.id === id ? { ...circle, ...patch } : circle)),
    );
  }

  #remove(id: string): void {
    this.#keepCircles(this.parameters.circles.filter((circle) => circle.id !== id));
    if (this.chosen === id) this.chosen = "";
  }

  static override styles = [
    ...viewStyles,
    css`
      bole-file,
      bole-photo-circles,
      .settings {
        margin-block: 14px;
      }
      .tools {
        display: flex;
        flex-wrap: wrap;
        gap: 8px;
        margin-block: 10px;
      }
      .tools button {
        font-weight: 400;
      }
    `,
  ];
}

/** What would make the answer surer. */
function advice(known: number, scene: string): string {
  const ways = [
    ...(scene === "unknown" ? ["say in which light it was photographed"] : []),
    ...(known < 4
      ? ["photograph known colours near the part's beside it, four or more"]
      : ["add known colours nearer to the part's"]),
    "measure it with an instrument",
  ];
  return `To be surer: ${ways.slice(0, -1).join(", ")}, or ${ways.at(-1)}.`;
}
