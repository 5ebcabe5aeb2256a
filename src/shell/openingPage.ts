import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { ask } from "../controls/emit.ts";
import { disclosureStyles } from "../controls/tokens.ts";
import type { NotebookEntry } from "../document/served.ts";
import { messageOf } from "../graph/messageOf.ts";
import "./notebookMenu.ts";
import { Panel } from "./panel.ts";
import { service } from "./service.ts";
import { shopSide } from "./shopService.ts";
import { starter } from "./starters.ts";
import { isToday } from "./timeWords.ts";
import { forgetWalk } from "./walkMemory.ts";

const demo = "the-lantern-room";
/** Lessons as they come; a copy of one is a notebook of its own. */
const isLesson = ({ name }: NotebookEntry) => /^lesson-\d/.test(name) && !/-copy(-\d+)?$/.test(name);
const mostRecent = 6;

/**
 * Where a person arrives: the demo, a whole job, a calibration, the lessons, and what was worked on last.
 * Events: `bole-open` ({name}) to open a notebook, `bole-help` for keys and words.
 */
@customElement("bole-opening")
export class OpeningPage extends Panel {
  @state() private entries: readonly NotebookEntry[] | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    if (shopSide() === "device") void import("./photographSheet.ts");
    void this.#load();
  }

  #load(): Promise<void> {
    return this.attempt(async () => {
      this.entries = await service.list();
    }, "The list of notebooks could not be read: ");
  }

  protected override render() {
    const entries = (this.entries ?? []).filter((entry) => !entry.problem);
    const lessons = entries
      .filter(isLesson)
      .sort((a, b) => a.name.localeCompare(b.name, "en", { numeric: true }));
    const recent = entries
      .filter((entry) => !isLesson(entry))
      .sort((a, b) => b.modified.localeCompare(a.modified))
      .slice(0, mostRecent);
    return html`<main>
      <header>
        <h1>Bole</h1>
        <p class="about">
          A workbench for recolouring leather and vinyl trim: from a measured target to a recipe, the ground under it, and
          the job.
        </p>
      </header>
      ${this.trouble ? html`<p class="trouble" role="alert">${this.trouble} <button @click=${() => this.#load()}>Try again</button></p>` : nothing}
      ${shopSide() === "device" ? html`<bole-photograph></bole-photograph>` : nothing}
      ${this.#begins(
        entries.some(({ name }) => name === demo),
        lessons.length > 0,
      )}
      <div class="lists">
        ${recent.length > 0 ? this.#recent(recent) : nothing}
        ${
          lessons.length > 0
            ? html`<section aria-labelledby="lessons">
                <h2 id="lessons" tabindex="-1">Lessons</h2>
                <ol class="list">
                  ${lessons.map(
                    ({ name, title }) => html`<li>
                      <button class="line" @click=${() => this.#open(name)}>${title}</button>
                    </li>`,
                  )}
                </ol>
              </section>`
            : nothing
        }
      </div>
      <details>
        <summary>All notebooks, and notebooks from files</summary>
        <bole-notebooks
          @bole-open=${(event: CustomEvent<{ name: string }>) => this.#open(event.detail.name)}
        ></bole-notebooks>
      </details>
      <p class="soft">
        ${shopSide() ? "Everything stays on your computer and the devices that you let in." : "Everything stays on this computer."}
        Panels on a screen are a guide: do not judge the final match on a screen. Follow
        the label and the safety data sheet of every product, your local rules, and licensed practice.
      </p>
      <button class="help" @click=${() => ask(this, "bole-help")}>Keys, formulas and words</button>
    </main>`;
  }

  #begins(hasDemo: boolean, hasLessons: boolean) {
    return html`<section aria-label="Begin">
        <div class="cards">
          ${
            hasDemo
              ? this.#card(
                  "Try the demo",
                  "One red on faded, black and grey parts, all worked out. Move the ground under it and watch.",
                  () => this.#open(demo),
                )
              : nothing
          }
          ${this.#card(
            "A whole job",
            "You have a colour and parts. Step by step to mix, ground, doses, price and a sheet that repeats it.",
            () => this.#begin("job"),
          )}
          ${this.#card(
            "Calibrate a paste",
            "You have drawdowns of a new paste. Get its absorption and scattering, with error bars.",
            () => this.#begin("calibration"),
          )}
          ${
            hasLessons
              ? this.#card("Lessons", "Predict, see, move a slider: why a red behaves as it does.", () =>
                  this.#goToLessons(),
                )
              : nothing
          }
        </div>
      </section>`;
  }

  #card(title: string, text: string, run: () => void) {
    return html`<button class="card" @click=${run}>
      <strong>${title}</strong><span>${text}</span>
    </button>`;
  }

  #recent(entries: readonly NotebookEntry[]) {
    return html`<section aria-labelledby="recent">
      <h2 id="recent">Recent notebooks</h2>
      <ul class="list">
        ${entries.map(
          ({ name, title, modified }) => html`<li>
            <button class="line" @click=${() => this.#open(name)}>
              <span>${title || name}</span> <span class="when">${whenWords(modified)}</span>
            </button>
          </li>`,
        )}
      </ul>
    </section>`;
  }

  #goToLessons(): void {
    const heading = this.renderRoot.querySelector<HTMLElement>("#lessons");
    heading?.scrollIntoView({ block: "nearest" });
    heading?.focus();
  }

  async #begin(way: Parameters<typeof starter>[0]): Promise<void> {
    try {
      const { name } = await service.create(await starter(way));
      forgetWalk(name);
      this.#open(name);
    } catch (error) {
      this.trouble = `A new notebook could not be made: ${messageOf(error)}.`;
    }
  }

  #open(name: string): void {
    ask(this, "bole-open", { name });
  }

  static override styles = [
    Panel.styles,
    disclosureStyles,
    css`
      main {
        max-width: 1000px;
        margin: 0 auto;
        padding: clamp(16px, 5vh, 56px) 16px 48px;
      }
      h1 {
        font-size: 2.4rem;
        margin: 0;
      }
      h2 {
        font-size: 1.25rem;
        margin: 0 0 8px;
      }
      h2:focus-visible {
        outline-offset: 4px;
      }
      .about {
        font-size: 1.2rem;
        max-width: 60ch;
        margin: 4px 0 24px;
      }
      .cards {
        display: grid;
        grid-template-columns: repeat(4, 1fr);
        gap: 12px;
      }
      .card {
        display: flex;
        flex-direction: column;
        gap: 6px;
        text-align: start;
        padding: 16px 18px;
        font-weight: 400;
        background: var(--bole-paper);
      }
      .card strong {
        font-size: 1.25rem;
      }
      .lists {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(100%, 400px), 1fr));
        gap: 24px;
        margin-block: 32px 16px;
      }
      .list {
        gap: 6px;
      }
      p {
        margin: 1em 0;
      }
      .line {
        inline-size: 100%;
        text-align: start;
        font-weight: 400;
        padding: 8px 14px;
        background: var(--bole-paper);
        display: flex;
        flex-wrap: wrap;
        gap: 0 16px;
        align-items: center;
        align-content: center;
        justify-content: space-between;
      }
      .when,
      .soft {
        color: var(--bole-ink-soft);
      }
      .soft {
        max-width: 75ch;
      }
      .trouble {
        display: flex;
        flex-wrap: wrap;
        gap: 12px;
        align-items: center;
      }
      @media (max-width: 900px) {
        .cards {
          grid-template-columns: repeat(2, 1fr);
        }
      }
      @media (max-width: 520px) {
        .cards {
          grid-template-columns: 1fr;
        }
      }
    `,
  ];
}

/** A moment in words: the time for today, else the day. */
function whenWords(modified: string): string {
  const moment = new Date(modified);
  if (Number.isNaN(moment.getTime())) return "";
  return isToday(moment)
    ? `today, ${moment.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" })}`
    : moment.toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
}
