// A person with an app that has nothing in common with Becket's library: another language, other encryption.
import "./surroundings.js";
import { readFile } from "node:fs/promises";
import * as sdk from "matrix-js-sdk";
import { OnlySignedDevicesIsolationMode } from "matrix-js-sdk/lib/crypto-api/index.js";
import { Attachment } from "@matrix-org/matrix-sdk-crypto-wasm";

// How long an answer may take, in milliseconds.
const patience = 20_000;

export const sleep = (ms) => new Promise((done) => setTimeout(done, ms));

// Person is somebody in one encrypted room. heard holds what others said there, in the order in which it came, and signs what
// others put under a message to be tapped, by the message's id.
export class Person {
    heard = [];
    signs = new Map();
    #read = 0;

    static async login({ homeserver, user, password }) {
        const said = await sdk
            .createClient({ baseUrl: homeserver })
            .loginRequest({ type: "m.login.password", identifier: { type: "m.id.user", user }, password });
        const p = new Person();
        p.client = sdk.createClient({
            baseUrl: homeserver, userId: said.user_id, accessToken: said.access_token, deviceId: said.device_id,
        });
        await p.client.initRustCrypto({ useIndexedDB: false });
        p.crypto = p.client.getCrypto();
        await p.#start();
        await sleep(1500); // its keys have to be on the homeserver before they are signed
        await p.crypto.bootstrapCrossSigning({
            authUploadDeviceSigningKeys: (upload) =>
                upload({ type: "m.login.password", identifier: { type: "m.id.user", user }, password }),
        });
        // From here on nothing is sent to, and nothing read from, a device that its owner hasn't signed.
        p.crypto.setDeviceIsolationMode(new OnlySignedDevicesIsolationMode());
        return p;
    }

    async #start() {
        this.client.on(sdk.RoomEvent.Timeline, (event, room, toStart) => {
            if (toStart || event.getSender() === this.client.getUserId()) return;
            const { event_id: under, key } = event.getWireContent()["m.relates_to"] ?? {};
            if (event.getWireType() === "m.reaction") this.signs.set(under, [...(this.signs.get(under) ?? []), key]);
            if (["m.room.encrypted", "m.room.message"].includes(event.getWireType())) this.heard.push(event);
        });
        const prepared = new Promise((done) => this.client.once(sdk.ClientEvent.Sync, done));
        await this.client.startClient({ initialSyncLimit: 50 });
        await prepared;
    }

    // makes an encrypted room and waits until the app knows that it is one.
    async makesRoom() {
        const encryption = { type: "m.room.encryption", state_key: "", content: { algorithm: "m.megolm.v1.aes-sha2" } };
        const made = await this.client.createRoom({ preset: "private_chat", name: "The kite flyers", initial_state: [encryption] });
        this.room = made.room_id;
        await this.until(() => this.client.getRoom(this.room)?.hasEncryptionStateEvent());
        return this.room;
    }

    async invites(user) {
        await this.client.invite(this.room, user);
        await this.until(() => this.client.getRoom(this.room).getMember(user)?.membership === "join");
    }

    async until(holds) {
        for (const end = Date.now() + patience; Date.now() < end; await sleep(20)) {
            if (holds()) return;
        }
        throw new Error(`it never came to this: ${holds}`);
    }

    // says sends a text, in a thread if one is named, and gives the id of the event.
    says = (text, thread) => this.#sends({ msgtype: "m.text", body: text, ...inThread(thread) });

    // edits replaces what was said before, as apps do.
    edits = (before, text) =>
        this.#sends({
            msgtype: "m.text", body: `* ${text}`, "m.new_content": { msgtype: "m.text", body: text },
            "m.relates_to": { rel_type: "m.replace", event_id: before },
        });

    // taps reacts to a message with one of the signs under it; an app never encrypts that.
    taps = (question, sign) =>
        this.client.sendEvent(this.room, "m.reaction", {
            "m.relates_to": { rel_type: "m.annotation", event_id: question, key: sign },
        });

    // shows sends a picture, encrypted.
    async shows(file, name, thread) {
        const bytes = await readFile(file);
        const locked = Attachment.encrypt(new Uint8Array(bytes));
        const up = await this.client.uploadContent(Buffer.from(locked.encryptedData), {
            type: "application/octet-stream", includeFilename: false,
        });
        return this.#sends({
            msgtype: "m.image", body: name, info: { mimetype: "image/png", size: bytes.length },
            file: { ...JSON.parse(locked.mediaEncryptionInfo), url: up.content_uri }, ...inThread(thread),
        });
    }

    async #sends(content) {
        return (await this.client.sendMessage(this.room, content)).event_id;
    }

    // next waits for the next message of somebody else's, and until it is decrypted or can't be.
    async next() {
        await this.until(() => this.heard.length > this.#read);
        const event = this.heard[this.#read++];
        const readable = () => event.getType() === "m.room.message";
        for (const end = Date.now() + patience; Date.now() < end && !readable(); await sleep(20));
        return event;
    }

    // onServer are all events of a user's in the room, as the homeserver has them, oldest first.
    async onServer(user) {
        const all = [];
        for (let from = null; ; ) {
            const got = await this.client.createMessagesRequest(this.room, from, 100, sdk.Direction.Backward);
            all.push(...got.chunk.filter((e) => e.sender === user));
            if (!got.end || got.chunk.length === 0) return all.reverse();
            from = got.end;
        }
    }

    ends = () => this.client.stopClient();
}

const inThread = (root) =>
    root ? { "m.relates_to": { rel_type: "m.thread", event_id: root, is_falling_back: true, "m.in_reply_to": { event_id: root } } } : {};
