import { describe, expect, test } from "vitest";
import { main } from "../../src/server/main.ts";

describe("the options", () => {
  const start = async (argv: string[]) => {
    const lines: string[] = [];
    const complaints: string[] = [];
    const code = await main({
      argv,
      pageFolder: "none",
      defaultFolder: "none",
      print: (line) => lines.push(line),
      complain: (line) => complaints.push(line),
    });
    return { code, lines, complaints };
  };

  test("--help explains them", async () => {
    const { code, lines, complaints } = await start(["--help"]);
    expect([code, complaints]).toEqual([0, []]);
    for (const option of ["--folder", "--port", "--no-open", "--shop-network"])
      expect(lines.join()).toContain(option);
  });

  test.each([
    ["--port", "-1"],
    ["--port", "65536"],
    ["--port", ""],
    ["--port"],
    ["--folder", ""],
    ["--verbose"],
    ["--shop-network", "--shop-port", "x"],
    ["--shop-network", "--shop-address", "phone"],
    ["--shop-address", "192.168.1.20"],
    ["--shop-network", "yes"],
    ["loose"],
  ])("%s %s is refused", async (...argv) => {
    const { code, lines, complaints } = await start(argv);
    expect([code, lines]).toEqual([2, []]);
    expect(complaints.join()).toMatch(/--help/);
  });
});
