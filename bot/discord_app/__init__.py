"""The chat-server front end, and the only package that imports the chat library.

One way through: ``client`` hears an interaction, ``slash``, ``forms`` and ``presses`` say what was asked, ``inbound``
makes it an Inquiry, ``desk`` has it answered, ``render`` lays the Card out within the platform's limits,
``outbound`` draws it and ``reply`` sends it. ``failures`` says what to tell the person when something goes
wrong, ``run`` starts and stops the whole.
"""
