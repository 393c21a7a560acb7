// Slack's own client, @slack/bolt, against the fake Slack of bot/slack/fakeslack:
// if it is content there, the fake is believable. Run by TestOfficialClient.
const { App } = require("@slack/bolt");

const app = new App({
  token: process.env.SLACK_BOT_TOKEN,
  appToken: process.env.SLACK_APP_TOKEN,
  socketMode: true,
  logLevel: "warn",
  clientOptions: { slackApiUrl: process.env.SLACK_API_URL },
});

app.event("app_mention", async ({ event, say }) => {
  await say({ text: `mention: ${event.text}`, thread_ts: event.ts, blocks: [
    { type: "actions", elements: [{ type: "button", action_id: "say", value: "softer", text: { type: "plain_text", text: "softer" } }] },
  ] });
});
app.message(async ({ message, say }) => {
  if (message.channel_type === "im") await say({ text: `direct: ${message.text}` });
});
app.command("/panelhand", async ({ command, ack, respond }) => {
  await ack();
  await respond({ text: `command: ${command.text}`, response_type: "ephemeral" });
});
app.action("say", async ({ action, body, ack, client }) => {
  await ack();
  await client.chat.postMessage({ channel: body.channel.id, thread_ts: body.container.thread_ts, text: `pressed: ${action.value}` });
});
app.shortcut("kit", async ({ shortcut, ack, client }) => {
  await ack();
  await client.views.open({ trigger_id: shortcut.trigger_id, view: { type: "modal", callback_id: "kit", title: { type: "plain_text", text: "Kit" }, blocks: [] } });
});
app.view("kit", async ({ ack }) => ack({ response_action: "errors", errors: { kit: "Name one thing." } }));
app.event("app_home_opened", async ({ event, client }) => {
  await client.views.publish({ user_id: event.user, view: { type: "home", blocks: [] } });
});
app.error(async (error) => console.error("error:", error));

app.start().then(() => console.log("listening"));
