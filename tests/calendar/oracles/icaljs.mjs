// Answers questions about calendars with ical.js: one JSON line in, one JSON line out.
//
// The recurrence set, its exceptions and its overrides, RANGE=THISANDFUTURE too, are the
// library's own (ICAL.Event). Added here is only what it has not: of several versions of one
// component the one with the highest SEQUENCE is taken, and a component whose RECURRENCE-ID
// has no master beside it stands for itself. Zones are those of the text.

import { createInterface } from "node:readline";
import ICAL from "ical.js";

const MOST = 20000;

function shown(time) {
  if (time.isDate) return time.toString();
  if (time.zone === ICAL.Timezone.localTimezone) throw new Error("a time without zone");
  return time.convertToZone(ICAL.Timezone.utcTimezone).toString();
}

function item(event, start, end) {
  const status = event.component.getFirstPropertyValue("status");
  return [shown(start), shown(end), status === "CANCELLED", event.summary || ""];
}

function latest(components) {
  const best = new Map();
  for (const one of components) {
    const id = one.getFirstPropertyValue("recurrence-id");
    const key = id ? String(id.toUnixTime()) : "";
    const rank = one.getFirstPropertyValue("sequence") || 0;
    const before = best.get(key);
    if (!before || rank >= before.rank) best.set(key, { rank, component: one });
  }
  return [...best.values()].map((one) => one.component);
}

function instances(components, last) {
  const chosen = latest(components);
  const master = chosen.find((one) => !one.hasProperty("recurrence-id"));
  const exceptions = chosen.filter((one) => one !== master);
  if (!master) {
    return exceptions.map((one) => new ICAL.Event(one))
      .map((one) => item(one, one.startDate, one.endDate));
  }
  for (const one of master.getAllProperties("rdate")) {
    if (one.type === "period") throw new Error("an RDATE that is a PERIOD stops its iterator");
  }
  const event = new ICAL.Event(master, { exceptions });
  let until = last + 5 * 86400; // RANGE=THISANDFUTURE may move what comes later into the window
  for (const one of exceptions) {
    until = Math.max(until, one.getFirstPropertyValue("recurrence-id").toUnixTime() + 86400);
  }
  const found = [];
  const iterator = event.iterator();
  for (let time = iterator.next(); time && time.toUnixTime() <= until; time = iterator.next()) {
    if (found.length === MOST) throw new Error("too many instances");
    const details = event.getOccurrenceDetails(time);
    found.push(item(details.item, details.startDate, details.endDate));
  }
  return found;
}

function answer({ text, last }) {
  ICAL.TimezoneService.reset();
  const root = new ICAL.Component(ICAL.parse(text));
  for (const zone of root.getAllSubcomponents("vtimezone")) ICAL.TimezoneService.register(zone);
  const byUid = Map.groupBy
    ? Map.groupBy(root.getAllSubcomponents("vevent"), uid)
    : grouped(root.getAllSubcomponents("vevent"));
  return [...byUid.values()].flatMap((components) => instances(components, last));
}

function uid(component) {
  return component.getFirstPropertyValue("uid") || "";
}

function grouped(components) {
  const groups = new Map();
  for (const one of components) groups.set(uid(one), [...(groups.get(uid(one)) || []), one]);
  return groups;
}

for await (const line of createInterface({ input: process.stdin })) {
  let reply;
  try {
    reply = { found: answer(JSON.parse(line)) };
  } catch (error) {
    reply = { refused: `${error.name}: ${error.message}`.slice(0, 200) };
  }
  process.stdout.write(`${JSON.stringify(reply)}\n`);
}
