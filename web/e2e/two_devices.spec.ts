/** Two people walk one job at the same time, each with a phone. */
import { ESTIMATOR, expect, signIn, test } from "./office";
import { Walker } from "./walker";

test("two people on one job see each other's marks, and the office has all", async ({ office, phonePage }) => {
  test.setTimeout(120_000);
  await office.addEstimator();
  const [mine, theirs] = [new Walker(await phonePage()), new Walker(await phonePage())];
  await signIn(mine.page, office);
  const hash = await mine.begin();
  await mine.count("10.5");
  await mine.arrived();

  await signIn(theirs.page, office, ESTIMATOR);
  await theirs.page.getByRole("link", { name: /Job without a name/ }).click();
  await theirs.total("11");

  // At the same time, and while the office is away.
  await Promise.all([mine.count("20.25"), theirs.count("30.75")]);
  await office.stop();
  await Promise.all([mine.count("40"), theirs.count("50")]);
  await office.start();
  await Promise.all([mine.page.reload(), theirs.page.reload()]);
  await Promise.all([mine.arrived(), theirs.arrived()]);

  const [job] = (await office.api("GET", "/api/jobs")).json.items;
  const [walk, ...more] = (await office.api("GET", `/api/jobs/${job.id}/walks`)).json.items;
  expect(more).toEqual([]);
  await expect(async () => {
    const { plain } = (await office.api("GET", `/api/walks/${walk.id}/record`)).json;
    const lengths = Object.values(plain.tallies as Record<string, { length: string }>).map((one) =>
      Number.parseFloat(one.length),
    );
    expect(lengths.sort((one, other) => one - other)).toEqual([10.5, 20.25, 30.75, 40, 50]);
  }).toPass({ timeout: 30_000 });
  // 10.5 + 20.25 + 30.75 + 40 + 50 = 151.5, on both phones, without anybody doing anything.
  for (const walker of [mine, theirs]) await walker.total("152");
  const typed = (await office.api("GET", `/api/walks/${walk.id}/history?most=200`)).json;
  expect(new Set(typed.items.map((one: { who: string }) => one.who)).size).toBe(2);
  expect(mine.page.url()).toContain(hash);
});
