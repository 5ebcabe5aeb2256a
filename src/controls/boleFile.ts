import { css, html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { textOfBytes } from "../tables/textOfBytes.ts";
import { Control } from "./control.ts";
import { emit, keepInside } from "./emit.ts";
import { controlStyles, notPrinted, tokens } from "./tokens.ts";
import { UntilEdited } from "./untilEdited.ts";

/**
 * A place to drop a file on, with a button that opens the file chooser. Only one file at a time; its size, ending and
 * readability are checked before anything is handed on.
 *
 * @fires file - CustomEvent<{name: string, text: string}>, or {name: string, file: File} when `binary` is set
 */
@customElement("bole-file")
export class BoleFile extends Control {
  /** endings allowed, such as ".csv,.txt"; empty allows all */
  @property() accept = "";
  /** most bytes allowed */
  @property({ type: Number, attribute: "max-bytes" }) maxBytes = 5_000_000;
  /** hands the file on unread, for pictures */
  @property({ type: Boolean }) binary = false;

  @state() private trouble?: string;
  protected readonly untilEdited = new UntilEdited(this, () => (this.trouble = undefined));
  @state() private over = false;
  @state() private lastName?: string;
  /** the newest choice wins when reading an older file takes longer */
  #reading = 0;

  #endings(): string[] {
    return this.accept
      .split(",")
      .map((ending) => ending.trim().toLowerCase())
      .filter((ending) => ending !== "");
  }

  #refusal(file: File): string | undefined {
    const endings = this.#endings();
    const name = file.name.toLowerCase();
    if (/\.(?:xlsx?|xlsm|ods|numbers)$/.test(name) && endings.includes(".csv")) {
      return `“${file.name}” is a workbook and cannot be read. Open it, save the sheet with the readings as CSV or as text with tabs, and choose that file.`;
    }
    if (endings.length > 0 && !endings.some((ending) => name.endsWith(ending))) {
      return `“${file.name}” has an ending that is not read here. Choose a file ending in ${orList(endings)}.`;
    }
    if (file.size > this.maxBytes) {
      return `“${file.name}” is ${sizeText(file.size)}, larger than the ${sizeText(this.maxBytes)} allowed. Choose a smaller file.`;
    }
    if (file.size === 0) return `“${file.name}” is empty. Choose a file with something in it.`;
    return undefined;
  }

  async #take(files: FileList | null | undefined): Promise<void> {
    const turn = ++this.#reading;
    this.over = false;
    if (!files || files.length === 0 || this.disabled) return;
    if (files.length > 1) {
      this.trouble = `${files.length} files at once. Choose one file at a time.`;
      return;
    }
    const file = files[0];
    this.trouble = this.#refusal(file);
    if (this.trouble !== undefined) return;
    if (this.binary) {
      this.lastName = file.name;
      emit(this, "file", { name: file.name, file });
      return;
    }
    let text: string;
    try {
      text = textOfBytes(new Uint8Array(await file.arrayBuffer()));
    } catch (error) {
      if (turn !== this.#reading) return;
      this.trouble =
        error instanceof TypeError
          ? `“${file.name}” is not plain text in UTF-8 or UTF-16. Save it as text in UTF-8 and choose it again.`
          : `“${file.name}” could not be read. Check that it is still there and choose it again.`;
      return;
    }
    if (turn !== this.#reading) return;
    if (text.includes("\0")) {
      this.trouble = `“${file.name}” is not a text file. Choose a text file.`;
      return;
    }
    this.lastName = file.name;
    emit(this, "file", { name: file.name, text });
  }

  readonly #chosen = (event: Event): void => {
    keepInside(event);
    const input = event.target as HTMLInputElement;
    const files = input.files;
    void this.#take(files).finally(() => {
      // The same file may be chosen again after it was mended.
      input.value = "";
    });
  };

  readonly #dragged = (event: DragEvent): void => {
    if (this.disabled || !event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    this.over = true;
  };

  readonly #left = (event: DragEvent): void => {
    if (!(event.currentTarget as Element).contains(event.relatedTarget as Node | null)) this.over = false;
  };

  readonly #dropped = (event: DragEvent): void => {
    event.preventDefault();
    void this.#take(event.dataTransfer?.files);
  };

  readonly #open = (): void => {
    this.renderRoot.querySelector<HTMLInputElement>("input")?.click();
  };

  override render() {
    const endings = this.#endings();
    return html`
      <div
        class=${this.over ? "zone over" : "zone"}
        @dragenter=${this.#dragged}
        @dragover=${this.#dragged}
        @dragleave=${this.#left}
        @drop=${this.#dropped}
      >
        <span class="label" id="label">${this.label}</span>
        <button
          type="button"
          id="open"
          aria-labelledby="label open"
          aria-describedby="about"
          ?disabled=${this.disabled}
          @click=${this.#open}
        >
          Choose a file
        </button>
        <span id="about" class="hint">
          or drop it here${endings.length > 0 ? `; ${orList(endings)}` : ""}, at most ${sizeText(this.maxBytes)}
        </span>
        <input
          type="file"
          hidden
          tabindex="-1"
          accept=${this.accept || nothing}
          @input=${keepInside}
          @change=${this.#chosen}
        />
        <p class="last" role="status">${this.lastName && !this.trouble ? `Read: ${this.lastName}` : ""}</p>
      </div>
      ${this.hintLine()}
      ${this.troubleLine(this.trouble === undefined ? undefined : `${this.label}: ${this.trouble}`)}
    `;
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    css`
      .zone {
        border: 2px dashed var(--bole-line);
        border-radius: var(--bole-radius);
        padding: 0.9rem 1rem;
        background: var(--bole-sheet);
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0.4rem 0.75rem;
      }
      .zone.over {
        border: 2px solid var(--bole-ink);
        background: var(--bole-press);
      }
      .label,
      .last {
        flex-basis: 100%;
        margin: 0;
      }
      #about {
        margin: 0;
      }
      .last {
        overflow-wrap: anywhere;
      }
      .last:empty {
        display: none;
      }
    `,
  ];
}

function sizeText(bytes: number): string {
  if (bytes >= 1e6) return `${Number((bytes / 1e6).toFixed(1))} MB`;
  if (bytes >= 1e3) return `${Number((bytes / 1e3).toFixed(1))} kB`;
  return `${bytes} bytes`;
}

function orList(names: readonly string[]): string {
  return names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} or ${names.at(-1)}`;
}
