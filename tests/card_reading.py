"""How tests read a card: the lines under a heading, all its words, what a button asks."""


def lines_of(card, heading):
    return [line for section in card.sections if heading in section.heading.casefold() for line in section.lines]


def words_of(card):
    return "\n".join(
        (card.title, card.conclusion, *(line for part in card.sections for line in (part.heading, *part.lines)))
    )


def pressed(card, label):
    (action,) = [action for action in card.actions if action.label == label]
    return action.command, dict(action.options)
