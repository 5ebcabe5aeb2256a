import { describe, expect, test } from "vitest";
import { shelfCommand } from "../../src/cli/shelfCommand.ts";
import { roseFile } from "../calibration/exampleDrawdowns.ts";
import ladderCsv from "../reference/measured_films_ladder.csv?raw";
import mixturesCsv from "../reference/measured_films_mixtures.csv?raw";
import { runCommand, run as runMain } from "./inMemory.ts";

const wavelengths = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const flat = (value: number) => wavelengths.map(() => value).join(",");
const nothing = wavelengths.map(() => "").join(",");
const head = `label,ground,over,coats,date,habit,set_aside,amount of red,amount of white,dry_um,lab_error,L*,a*,b*,${wavelengths.join(",")}`;
const wide = [
  head,
  `bare,card,,,,,,,,,,,,,${flat(0.8)}`,
  `bare,dark,,,,,,,,,,,,,${flat(0.05)}`,
  `white,card,,1,2026-01-05,closed,,0,1,20,,,,,${flat(0.82)}`,
  `red,card,,2,,,,1,0,10,,,,,${flat(0.2)}`,
  `pink,dark,,,,,,1,3,20,1.5,60,20,8,${nothing}`,
  `red on white,,white,,,,,1,0,8,,,,,${flat(0.24)}`,
  `spilt,card,,,,,dust in it,1,1,20,,,,,${flat(0.6)}`,
].join("\n");
const asked = [head, `new pink,DARK,,,,,,1,1,15,,,,,${nothing}`].join("\n");

const run = (files: Record<string, string>, ...argv: string[]) => runCommand(shelfCommand, files, ...argv);

describe("bole shelf", () => {
  test("files as they are: ladders learnt, mixtures predicted in the order of the file", async () => {
    const first = mixturesCsv.split("\n").slice(0, 12).join("\n");
    const argv = ["ladder.csv", "--predict", "new.csv", "--k1", "0.03", "--range", "400-730"];
    const { code, answer } = await run({ "ladder.csv": ladderCsv, "new.csv": first }, ...argv);
    expect(code).toBe(0);
    expect(answer.unit).toBe("1/unit of laid amount");
    expect(answer.components).toHaveLength(6);
    expect(answer.components[0]).toMatchObject({ name: "alizarin crimson" });
    expect(answer.components[0].wavelengths).toHaveLength(34);
    expect(answer.films).toHaveLength(66);
    expect(answer.predictions.map(({ label }: { label: string }) => label)).toEqual(
      first
        .split("\n")
        .slice(7)
        .map((line) => line.split(",")[0]),
    );
    for (const { deltaE00, band90, reflectance } of answer.predictions) {
      expect(deltaE00).toBeGreaterThan(0);
      expect(band90).toBeGreaterThan(0.5);
      expect(reflectance).toHaveLength(34);
    }
  });

  test("a file of drawdowns of one paste reads unchanged", async () => {
    const { answer } = await run({ "rose.csv": roseFile() }, "rose.csv");
    expect(answer.unit).toBe("1/µm of dry film");
    expect(answer.components.map(({ name }: { name: string }) => name)).toEqual(["paste", "pw6", "binder"]);
  });

  test("the widened layout: films over films, coats, colours, rows set aside, rows without readings", async () => {
    const { answer } = await run({ "a.csv": wide, "b.csv": asked }, "a.csv", "--predict", "b.csv");
    const used = answer.films.map(({ used }: { used: boolean }) => used);
    expect(used).toEqual([true, true, true, true, false]);
    expect(answer.films[4].setAside).toBe("dust in it");
    expect(answer.predictions[0].deltaE00).toBeUndefined();
    expect(answer.predictions[0].Lab).toHaveLength(3);
    const again = await run({ "a.csv": wide, "b.csv": asked }, "a.csv", "--predict", "b.csv");
    expect(again.answer).toEqual(answer); // identity: equal seeds, equal answers
  });

  test.each([
    [
      "an unknown ground",
      wide.replace("pink,dark", "pink,slate"),
      /row 6, field "ground".*"slate" is not known; known are card, dark/,
    ],
    [
      "a film below that is not there",
      wide.replace(",,white,,", ",,grey,,"),
      /row 7, field "over".*no film "grey"/,
    ],
    ["a film over itself", wide.replace(",,white,,", ",,red on white,,"), /lies over itself/],
    [
      "a number that is none",
      wide.replace("1,3,20", "1,x,20"),
      /row 6, field "amount of white": "x" is not a number/,
    ],
    ["a negative amount", wide.replace("1,3,20", "1,-3,20"), /-3 is outside the allowed range 0 to/],
    [
      "a thickness out of range",
      wide.replace("1,3,20", "1,3,20000"),
      /field "dry_um": 20000 is outside the allowed range 0.01 to 10000/,
    ],
    ["an incomplete colour", wide.replace("60,20,8", "60,,8"), /field "a\*": the colour is not complete/],
    ["a column that is not known", wide.replace("habit", "mood"), /the column "mood" is not known/],
    ["two films of one label", wide.replace("spilt", "red"), /"red" is one film, but/],
    ["nothing poured", wide.replace("1,3,20", "0,,20"), /nothing was poured/],
    [
      "coats",
      wide.replace("red,card,,2", "red,card,,0"),
      /field "coats": 0 is outside the allowed range 1 to 30/,
    ],
    [
      "a light",
      wide.replace("date,", "light,").replace("pink,dark,,,", "pink,dark,,,Moon"),
      /"Moon" is unknown/,
    ],
  ])("%s is told with its place", async (_, text, message) => {
    await expect(run({ "a.csv": text }, "a.csv")).rejects.toThrow(message);
  });

  test("more components than can be read", async () => {
    const many = Array.from({ length: 41 }, (_, k) => `amount of p${k}`).join(",");
    await expect(run({ "a.csv": `label,${many},400\nx,${"1,".repeat(41)}0.5` }, "a.csv")).rejects.toThrow(
      /41 components; at most 40/,
    );
  });

  test("a file that cannot be used ends with 2, from the command line on", async () => {
    const { code, complaint, out } = await runMain(["shelf", "a.csv", "--predict", "b.csv"], {
      "a.csv": wide,
      "b.csv": asked.replace("DARK", "slate"),
    });
    expect([code, out]).toEqual([2, ""]);
    expect(complaint).toMatch(/b\.csv, row 2, field "ground".*"slate" is not known/);
  });

  test("spectra and colours mix row by row, and bottles, habits and lights are told", async () => {
    const mixed = [
      head.replace("habit,", "habit,batch,light,"),
      `bare,card,,,,,,,,,,,,,,,${flat(0.8)}`,
      `white,card,,1,2026-01-05,closed,,,,0,1,20,,,,,${flat(0.82)}`,
      `red,card,,2,2026-02-01,,red: old,,,1,0,10,,,,,${flat(0.2)}`,
      `red again,card,,2,2026-03-01,open,red: new,A 1931-2,,1,0,10,1,52,22,30,${nothing}`,
      `pink,card,,,,open,red: new,,,1,3,20,1.5,60,20,8,${nothing}`,
    ].join("\n");
    const { code, answer } = await run({ "a.csv": mixed }, "a.csv");
    expect(code).toBe(0);
    expect(answer.films.map(({ used }: { used: boolean }) => used)).toEqual([true, true, true, true]);
    // A colour under another light cannot be told in this one: it is learnt from, not compared.
    expect(answer.films.map((film: { residual?: number }) => film.residual !== undefined)).toEqual([
      true,
      true,
      false,
      true,
    ]);
    expect(
      answer.bottles.map(({ component, batch }: { component: string; batch: string }) => [component, batch]),
    ).toEqual([
      ["red", "old"],
      ["red", "new"],
    ]);
  });

  test.each(["380-690", "405-730", "400", "730-400", "400-730-10"])(
    "--range %s is refused",
    async (range) => {
      await expect(run({ "a.csv": wide }, "a.csv", "--range", range)).rejects.toThrow(
        /--range is .* has to be two wavelengths/,
      );
    },
  );
});
