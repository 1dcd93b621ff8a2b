/** What the office would not have is told on the phone, with why and what to do; nothing of it is lost. */
import { demoJob } from "./offered";
import { axe, expect, type Office, shot, signIn, test } from "./office";
import { Walker } from "./walker";

for (const language of ["en", "es"] as const) {
  test(`taken off a job while at work on it: what was typed stays, is told, and goes once one is on it again: ${language}`, async ({
    office,
    phonePage,
  }) => {
    const who = await office.addEstimator();
    const people = (await office.api("GET", "/api/people")).json.items;
    const person = people.find((one: { email: string }) => one.email === who.email);
    const headers = { "if-match": `"${person.version}"` };
    await office.api("PUT", `/api/people/${person.id}/role`, { json: { role: "crew" }, headers });
    const job = await demoJob(office);
    const onJob = `/api/jobs/${job}/people/${person.id}`;
    await office.api("PUT", onJob);

    const page = await phonePage();
    const walker = new Walker(page);
    await signIn(page, office, who);
    await page.evaluate(
      (kept) => localStorage.setItem("courtwright settings", kept),
      JSON.stringify({ language, units: "us", colours: "day" }),
    );
    await page.goto(`/#/jobs/${job}/walk`);
    await page.reload();
    await expect(walker.says).toHaveText(language === "en" ? /^At the office, / : /^En la oficina, /);
    const { json: walks } = await office.api("GET", `/api/jobs/${job}/walks`);
    const before = await tallies(office, walks.items[0].id);

    await office.api("DELETE", onJob);
    await page.locator(".keys button").nth(1).click();
    await page.getByRole("button", { name: language === "en" ? "One here, counted" : "Uno aquí, contado" }).click();
    const head = page.getByRole("banner");
    const told = head.getByRole("alert");
    const words = {
      en: [
        "The office did not take what was typed into this walk: ",
        "All of it stays on this phone.",
        "Send it again",
      ],
      es: ["La oficina no tomó lo escrito en este recorrido: ", "Todo queda en este teléfono.", "Enviarlo otra vez"],
    }[language] as [string, string, string];
    await expect(told).toContainText(words[0], { timeout: 30_000 });
    await expect(told).toContainText(words[1]);
    await axe(page);
    await shot(page, `refused-${language}`);

    await office.api("PUT", onJob);
    await head.getByRole("button", { name: words[2] }).click();
    await expect(told).toHaveCount(0, { timeout: 30_000 });
    expect(await tallies(office, walks.items[0].id)).toBe(before + 1);
  });
}

/** How many things were counted in a walk, as the office has it. */
async function tallies(office: Office, walk: string): Promise<number> {
  const { plain } = (await office.api("GET", `/api/walks/${walk}/record`)).json;
  return Object.keys(plain.tallies ?? {}).length;
}
