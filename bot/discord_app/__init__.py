"""The chat-server front end, and the only package that imports the chat library.

One way through: ``client`` hears an interaction, ``slash``, ``forms`` and ``presses`` say what was asked, ``inbound``
makes it an Inquiry, ``desk`` has it answered, ``render`` and ``buttons`` lay the Card out within the platform's limits,
``outbound`` draws it and ``reply`` sends it. ``verdicts`` keeps one verdict of each case standing at its ``places``,
``threads`` opens a thread for one. ``translation`` has commands registered in every language. ``failures`` says what to
tell the person when something goes wrong, ``housekeeping`` does what is due every hour, ``run`` starts and stops the
whole.
"""
