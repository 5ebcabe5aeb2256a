import { html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { messageOf } from "../graph/messageOf.ts";
import { AskedDoubt } from "./askedDoubt.ts";
import { emit } from "./emit.ts";
import { LongReading, type NamedText, type TextReader } from "./longReading.ts";
import { notPrinted } from "./tokens.ts";
import { UntilEdited } from "./untilEdited.ts";
import { viewStyles } from "./viewStyles.ts";

/** A measured spectrum in the form cells keep. */
export interface KeptSpectrum {
  label: string;
  origin?: string;
  wavelengths: number[];
  values: number[];
}

interface Read {
  readonly samples: readonly {
    readonly label: string;
    readonly wavelengths: ArrayLike<number>;
    readonly values: ArrayLike<number>;
  }[];
  readonly notes: readonly string[];
}

/**
 * A place for a file with measured spectra: reads it, says what is wrong, and lets the person choose among several samples.
 *
 * @fires spectrum - CustomEvent<{spectrum: KeptSpectrum}>
 */
@customElement("bole-spectrum-input")
export class SpectrumInput extends LitElement {
  @property() label = "Measured spectrum";
  @property() hint =
    "CSV with wavelengths in nm in the first column or the first row (0 to 1 or per cent), CGATS text, or CxF.";
  /** what stays when a file cannot be read */
  @property() stays = "What was loaded before stays.";
  @property({ attribute: false }) reader!: TextReader<Read>;
  @state() private offered: (Read & { file: string }) | undefined;
  @state() private trouble = "";
  readonly #long = new LongReading(this);
  readonly #doubt = new AskedDoubt(this);
  /** the newest file wins when reading an older one takes longer */
  #newest: NamedText | undefined;
  protected readonly untilEdited = new UntilEdited(this, () => (this.trouble = ""));

  protected override render() {
    return html`
      <bole-file
        .label=${this.label}
        accept=".csv,.txt,.tsv,.cgats,.it8,.cxf,.xml"
        .maxBytes=${10_000_000}
        .hint=${this.hint}
        @file=${(event: CustomEvent<NamedText>) => {
          this.#doubt.forget();
          void this.#take(event.detail);
        }}
      ></bole-file>
      ${this.#long.shown()} ${this.#doubt.shown()}
      ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble} .field=${this.label}><p>${this.stays}</p></bole-message>` : nothing}
      ${
        this.offered
          ? html`<p>${this.offered.file} holds ${this.offered.samples.length} samples:</p>
              <div class="fields" role="group" aria-label="Samples in the file">
                ${this.offered.samples.map((_, index) => html`<button @click=${() => this.#choose(index)}>Use “${this.offered!.samples[index].label}”</button>`)}
              </div>`
          : nothing
      }
    `;
  }

  async #take(file: NamedText): Promise<void> {
    const { name } = file;
    this.trouble = "";
    this.offered = undefined;
    this.#newest = file;
    try {
      const read = await this.#long.read(this.reader, file);
      if (this.#newest !== file) return;
      this.offered = { file: name, ...read };
      if (read.samples.length === 1) this.#choose(0);
    } catch (error) {
      if (this.#newest !== file) return;
      if (!this.#doubt.ask(error, (answers) => void this.#take({ ...file, answers })))
        this.trouble = messageOf(error);
    }
  }

  #choose(index: number): void {
    const { file, samples, notes } = this.offered!;
    const { label, wavelengths, values } = samples[index];
    this.offered = undefined;
    emit(this, "spectrum", {
      spectrum: {
        label: label.slice(0, 200),
        origin: [file, ...notes].join("; ").slice(0, 400),
        wavelengths: [...Array.from(wavelengths)],
        values: [...Array.from(values)],
      } satisfies KeptSpectrum,
    });
  }

  static override styles = [...viewStyles, notPrinted];
}
