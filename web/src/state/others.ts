// Other tabs of the same browser: told of what was kept here, and listened to. Other browsers
// are noticed when this page is looked at again, and when a change clashes.

const channel = new BroadcastChannel("rondure.plans");

/** Tells that a plan was kept; none when the shelf changed. */
export function tellOthers(plan: string | null): void {
  channel.postMessage({ plan });
}

export function hearOthers(heard: (plan: string | null) => void): void {
  channel.onmessage = (message: MessageEvent<{ plan: string | null }>) => heard(message.data.plan);
}
