// How far something is that is being worked out, told by the server as it goes on. Without this
// script the page reloads itself. A tab in the background asks nothing: a browser opens few
// connections to one place, and other tabs need them.
"use strict";
(() => {
  const box = document.querySelector("[data-job]");
  if (!box) return;
  const here = box.dataset.job;
  let stream = null;

  const leave = () => location.replace(here); // leads on to the result, or says what happened

  function listen() {
    if (stream) stream.close();
    stream = null;
    if (document.hidden) return;
    stream = new EventSource(`${here}/events`);
    stream.addEventListener("ended", () => {
      stream.close();
      if (box.isConnected) leave();
    });
    stream.onmessage = (event) => {
      if (!box.isConnected) return stream.close(); // another page stands here now
      const { told, share } = JSON.parse(event.data);
      box.querySelector("p").textContent = told;
      box.querySelector("progress").value = share;
    };
    stream.onerror = () => {
      // A stream that breaks is opened again by the browser; one that is refused is not.
      if (stream.readyState === EventSource.CLOSED && box.isConnected) setTimeout(leave, 2000);
    };
  }

  document.addEventListener("visibilitychange", () => {
    if (box.isConnected) listen();
    else if (stream) stream.close();
  });
  listen();
})();
