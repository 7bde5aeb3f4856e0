// Holds one whole encrypted inspection with Becket and judges what it hears. It needs JUDGE_HOMESERVER, JUDGE_USER,
// JUDGE_PASSWORD, JUDGE_BECKET (Becket's account) and JUDGE_PHOTO (a PNG).
//
// It prints {"room": ID} once it has made its room, and waits for a line on stdin: by then Becket has to run and know
// the team. Then comes {"check": NAME, "why": WHAT IS WRONG OR ""} for each check, and {"done": HOW MANY} at the end.
import { createInterface } from "node:readline/promises";
import { isDeepStrictEqual } from "node:util";
import { EventShieldColour } from "matrix-js-sdk/lib/crypto-api/index.js";
import { Person, sleep } from "./client.js";

const { JUDGE_HOMESERVER: homeserver, JUDGE_USER: user, JUDGE_PASSWORD: password, JUDGE_BECKET: becket, JUDGE_PHOTO: photo } = process.env;

let checks = 0;
const print = (line) => process.stdout.write(JSON.stringify(line) + "\n");
function check(name, got, wanted) {
    checks++;
    const right = isDeepStrictEqual(got, wanted);
    print({ check: name, why: right ? "" : `got ${JSON.stringify(got)}, wanted ${JSON.stringify(wanted)}` });
}

// Nobody looks at one thing in less than two seconds, and Becket says so.
const look = 2200;

// The conversation: what is said, shown or tapped, and what the one answer to it must hold, word for word; all of it stands in the
// thread of the first. An edit changes the last thing said; a tap is one of the signs under the last answer.
const conversation = [
    { say: "inspect K-1", hear: "1 of 5, look, on its own because it matters most: Run it all off.", kind: "m.text" },
    { say: "ok", hear: `"ok" doesn't say what you saw. Nothing was written`, kind: "m.text" },
    { say: "a", hear: "Clear.\n2 of 5, look: The cleat and its screws.", kind: "m.text" },
    { tap: "clear", signs: ["a", "clear", "can't tell"], hear: "Clear.\n3 of 5, measure: Width of the line at its thinnest.", kind: "m.text" },
    { say: "4.9 5 5", hear: "4 of 5, measure: A photo of the spot that was measured.", kind: "m.text" },
    { edit: "4.9 5 4.9", hear: "4 of 5, measure: A photo of the spot that was measured.", kind: "m.text" },
    { show: "line.png", hear: "By the rules: FIT.", kind: "m.text" },
    { say: "sign fit", hear: "FIT.\nK-1: fit when inspected on ", kind: "m.text" },
];

// judged checks one answer: that it is Becket's, locked, from a device that its owner signed, and belongs to cause.
async function judged(p, name, event, { cause, root, hear, kind }) {
    const content = event.getContent();
    const relation = event.getWireContent()["m.relates_to"] ?? {};
    check(`${name}: it is Becket's`, event.getSender(), becket);
    check(`${name}: it went encrypted and could be read`, [event.getWireType(), event.getType()], ["m.room.encrypted", "m.room.message"]);
    const shield = event.isDecryptionFailure() ? null : await p.crypto.getEncryptionInfoForEvent(event);
    check(`${name}: an app shows no warning beside it`, shield?.shieldColour, EventShieldColour.NONE);
    check(`${name}: it says what it should`, (content.body ?? "").includes(hear) || content.body, true);
    check(`${name}: whether it wants an answer`, content.msgtype, kind);
    check(`${name}: it answers what was said`, relation["m.in_reply_to"]?.event_id, cause);
    check(`${name}: it stands in the inspection's thread`, [relation.rel_type, relation.event_id], ["m.thread", root]);
}

async function identity(p) {
    const devices = [...(await p.crypto.getUserDeviceInfo([becket], true)).get(becket)?.keys() ?? []];
    check("Becket has one device", devices.length, 1);
    check("Becket's account has an identity that signs devices", await p.crypto.userHasCrossSigningKeys(becket, true), true);
    const status = await p.crypto.getDeviceVerificationStatus(becket, devices[0]);
    check("Becket's device is signed by its owner", status?.signedByOwner, true);
}

async function taps(p, question, { tap, signs }) {
    await p.until(() => p.signs.get(question)?.length >= signs.length);
    check(`${tap}: what can be tapped`, p.signs.get(question), signs);
    await p.taps(question, tap);
}

async function inspects(p) {
    let root, last;
    for (const [n, step] of conversation.entries()) {
        if (n > 0) await sleep(look);
        let cause;
        if (step.say) cause = last = await p.says(step.say, root);
        if (step.edit) cause = await p.edits(last, step.edit);
        if (step.tap) {
            await taps(p, p.heard.at(-1).getId(), step);
            cause = root; // no app shows a tap as something that can be answered
        }
        if (step.show) cause = await p.shows(photo, step.show, root);
        root ??= cause;
        const heard = await p.next();
        await judged(p, step.say ?? step.edit ?? step.tap ?? step.show, heard, { ...step, cause, root });
    }
    const signature = /^Signed, .+, record [0-9]{4}-0001: FIT\.$/m;
    const said = p.heard.at(-1).getContent().body;
    check("the signature and the record's number arrive", signature.test(said) || said, true);
}

async function nothingTwice(p) {
    await sleep(1500);
    check("one answer for each thing said, and nothing else", p.heard.length, conversation.length);
    const wire = await p.onServer(becket);
    const messages = wire.filter((e) => e.type === "m.room.encrypted").map((e) => e.event_id);
    check("the homeserver has the same messages, in the same order", messages, p.heard.map((e) => e.getId()));
    check("nothing of Becket's stands there in the open", wire.filter((e) => e.type === "m.room.message").length, 0);
}

const p = await Person.login({ homeserver, user, password });
const stdin = createInterface({ input: process.stdin });
print({ room: await p.makesRoom() });
await new Promise((ready) => stdin.once("line", ready));
await p.invites(becket);
await identity(p);
await inspects(p);
await nothingTwice(p);
p.ends();
print({ done: checks });
process.exit(0);
