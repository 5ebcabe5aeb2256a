// The page of a device that is not let in yet. It imports nothing: no file of the workbench is served to such a device.

const againMs = 1000;
const found = <Kind extends HTMLElement>(id: string) => document.getElementById(id) as Kind;
const form = found<HTMLFormElement>("form");
const code = found<HTMLInputElement>("code");
const deviceName = found<HTMLInputElement>("name");
let secret = "";

/** The secret stands in the part of the address that is sent to nobody; it goes from there at once. */
function readSecret(): void {
  const read = /^#pair=([\w-]{22})$/.exec(location.hash)?.[1];
  if (!read) return;
  secret = read;
  history.replaceState(null, "", location.pathname);
  show();
}

function show(state = "", trouble = ""): void {
  found("code-line").hidden = secret !== "";
  found("scanned").hidden = secret === "";
  code.required = secret === "";
  found("state").textContent = state;
  found("trouble").textContent = trouble;
}

async function call(path: string, body?: object): Promise<Record<string, string | boolean>> {
  const response = await fetch(path, {
    method: body ? "POST" : "GET",
    headers: body ? { "content-type": "application/json" } : {},
    body: body && JSON.stringify(body),
  });
  const answer = await response.json();
  if (!response.ok) throw new Error(answer.error);
  return answer;
}

async function ask(): Promise<void> {
  const shown = secret ? { secret } : { code: code.value.replace(/\D/g, "") };
  const { knock, mark } = await call("/pair/ask", { ...shown, name: deviceName.value });
  form.hidden = true;
  const state = found("state");
  const number = document.createElement("strong");
  number.textContent = String(mark);
  state.replaceChildren("Say yes at the computer to the device with the number ", number);
  for (;;) {
    const { answer } = await call("/pair/wait", { knock });
    if (answer === "admitted") return location.replace("/");
    if (answer === "refused") throw new Error("The computer said no.");
    await new Promise((go) => setTimeout(go, againMs));
  }
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  show();
  found<HTMLButtonElement>("ask").disabled = true;
  ask()
    .catch((error: Error) => {
      secret = "";
      code.value = "";
      form.hidden = false;
      show("", error.message || "The computer does not answer. Try again.");
    })
    .finally(() => (found<HTMLButtonElement>("ask").disabled = false));
});

deviceName.value = Math.min(screen.width, screen.height) < 600 ? "Phone" : "Tablet";
show();
readSecret();
addEventListener("hashchange", readSecret);
// A device that came from elsewhere shows its cookie only now.
call("/pair").then(
  ({ paired }) => {
    if (paired) location.replace("/");
  },
  () => undefined,
);

// A module: its names are its own.
export {};
