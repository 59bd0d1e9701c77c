"""What somebody got for what they did: words, pictures, buttons, a form, suggestions."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stand_in import record
from stand_in.measures import LABEL
from stand_in.messages import Message
from stand_in.record import Conversation


@dataclass(frozen=True, repr=False, slots=True)
class Form:
    """A form that was shown to somebody."""

    conversation: Conversation
    data: Mapping[str, Any]

    @property
    def title(self) -> str:
        return self.data["title"]

    @property
    def fields(self) -> dict[str, Mapping[str, Any]]:
        """Label to field."""
        return {part["label"]: part["component"] for part in self.data["components"] if part["type"] == LABEL}


@dataclass(frozen=True, repr=False, slots=True)
class Said:
    """What was answered, as it looks now."""

    conversation: Conversation

    @property
    def messages(self) -> list[Message]:
        """Messages that were sent or changed and are still there, the last one at the end."""
        return [one for one in self.conversation.messages if not one.deleted and not one.waiting and one.text]

    @property
    def message(self) -> Message:
        """The message with the answer."""
        assert self.messages, f"no message: {[(one.kind, one.type) for one in self.conversation.calls]}"
        return self.messages[-1]

    @property
    def text(self) -> str:
        return self.message.text

    @property
    def everything(self) -> str:
        """The words of all messages of the answer."""
        return "\n".join(one.text for one in self.messages)

    @property
    def private(self) -> bool:
        """Whether nobody else sees any of it."""
        return all(one.private for one in self.messages)

    @property
    def buttons(self) -> list[str]:
        """Labels of the buttons that can be pressed."""
        return [label for label, button in self.message.buttons.items() if not button.get("disabled")]

    @property
    def pictures(self) -> dict[str, bytes]:
        return {name: content for name, content in self.message.files.items() if name.endswith(".png")}

    @property
    def form(self) -> Form:
        """The form that was shown."""
        shown = next((call for call in self.conversation.calls if call.type == record.MODAL), None)
        assert shown is not None, "no form was shown"
        return Form(self.conversation, shown.data)

    @property
    def asks(self) -> bool:
        """Whether a form was shown."""
        return any(call.type == record.MODAL for call in self.conversation.calls)

    @property
    def suggestions(self) -> list[Mapping[str, Any]]:
        return self.conversation.calls[0].data["choices"]
