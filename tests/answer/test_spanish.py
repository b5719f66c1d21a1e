"""A question in Spanish finds the English entry, which is offered by its English question and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from handouts.answer.foreign import load_foreign, stems
from handouts.desk import Desk
from handouts.errors import BadContent

ASKED = (
    ("egg-hatching-time", "¿Cuánto tardan en nacer los huevos de la mariposa?"),
    ("hosts-black-swallowtail", "¿Qué comen las orugas verdes que encontré en mi perejil?"),
    ("hosts-monarch", "¿Las orugas de la mariposa monarca comen algo más que algodoncillo?"),
    ("ran-out-of-food", "Mis orugas ya se comieron todo el eneldo, ¿qué les puedo dar ahora?"),
    ("shop-herbs", "¿Puedo usar perejil del supermercado para mis orugas?"),
    ("not-eating", "Mi oruga ya no quiere comer desde ayer, ¿está enferma?"),
    ("not-moving-molt", "La oruga lleva dos días sin moverse, ¿qué le pasa?"),
    ("wandering", "Mi oruga salió de la planta y camina por toda la jaula"),
    ("black-limp-disease", "Mi oruga se puso negra y se murió, ¿por qué?"),
    ("chrysalis-fallen", "La crisálida se cayó al suelo, ¿qué hago?"),
    ("alive-or-dead", "¿Cómo puedo saber si mi crisálida está muerta?"),
    ("how-long-chrysalis", "¿Cuánto tiempo tarda en salir la mariposa de la crisálida?"),
    ("winter-where", "¿Dónde debo guardar mis crisálidas durante el invierno?"),
    ("refrigerator", "¿Se puede poner la crisálida en el refrigerador?"),
    ("crumpled-wings", "Mi mariposa nació con las alas arrugadas y no puede volar"),
    ("feeding-adults", "¿Con qué puedo alimentar a mi mariposa si está lloviendo?"),
    ("when-release", "¿Cuándo debo soltar a la mariposa que acaba de nacer?"),
    ("life-span", "¿Cuántos días vive una mariposa?"),
    ("male-or-female", "¿Cómo se distingue el macho de la hembra?"),
    ("child-ate-plant", "Mi niño se comió una hoja de algodoncillo, ¿es venenosa?"),
    ("mosquito-spraying", "Van a fumigar por los mosquitos en mi calle, ¿qué hago con mis orugas?"),
    ("flea-treatments", "¿Las gotas antipulgas de mi perro pueden matar a las orugas?"),
    ("nectar-plants", "¿Qué flores debo plantar para atraer mariposas?"),
    ("sow-when", "¿En qué mes debo sembrar el eneldo?"),
    ("crowding", "¿Cuántas orugas puedo poner en una misma jaula?"),
    ("opened-in-winter", "Una mariposa salió de su crisálida en enero y está nevando, ¿qué hago?"),
    ("bring-out-when", "¿Cuándo debo sacar las crisálidas del refrigerador?"),
    ("horns-smell", "A mi oruga le salieron unos cuernos naranjas y huele feo"),
    ("milkweed-eye", "Me entró savia de algodoncillo en el ojo"),
    ("moving-chrysalis", "¿Puedo cambiar de lugar la crisálida?"),
    ("will-it-overwinter", "¿Mi crisálida se abrirá antes del invierno o hasta la primavera?"),
    ("how-many-plants", "¿Cuántas plantas de perejil necesito para veinte orugas?"),
    ("egg-finding", "¿Cómo se ven los huevos de la mariposa y en qué parte de la hoja están?"),
    ("caterpillar-identify", "Encontré un gusano verde con rayas negras, ¿qué es?"),
    ("wild-hosts-lookalikes", "¿Puedo darles zanahoria silvestre que crece junto al camino?"),
    ("neighbor-spraying", "Mi vecino usa pesticidas, ¿cómo protejo a mis orugas?"),
    ("green-puddle", "Hay un líquido verde debajo de mi oruga"),
    ("parasitoids-caterpillar", "Salieron unos hilos blancos de mi oruga"),
    ("cleaning-frass", "¿Cada cuánto tengo que limpiar la jaula de las orugas?"),
    ("nursery-plants", "Compré una planta en el vivero y se murieron todas mis orugas"),
    ("handling-caterpillars", "¿Es malo tocar las orugas con las manos?"),
    (None, "¿Cuál es la capital de Francia?"),
    (None, "¿Cómo puedo arreglar mi coche?"),
)
# how many of them may come second or third instead of first
SECOND_MOST = 2


def test_the_entry_asked_for_is_offered(desk: Desk) -> None:
    """The right entry is among those offered, nearly always first; another subject is offered nothing."""
    first = 0
    for entry, text in ASKED:
        reply = desk.reply(text, None, "standard", None)
        assert reply.reason == "language", text
        assert not reply.answered
        near = [item["entry"] for item in reply.near]
        if entry is None:
            assert near == [], text
        elif near[:1] == [entry]:
            first += 1
    assert first >= sum(entry is not None for entry, _ in ASKED) - SECOND_MOST


def test_only_the_courteous_sentence_is_spanish(desk: Desk) -> None:
    """Below the sentence stand the entry's English question and the contacts, nothing of its answer."""
    reply = desk.reply("Mi niño se comió una hoja de algodoncillo, ¿es venenosa?", None, "brief", None)
    sentence, question, turn = reply.answer.split("\n\n")
    assert sentence.startswith(desk.base.vocabulary.languages["es"].says)
    assert question.splitlines()[0] == f"- {desk.base.library.entries['child-ate-plant'].question}"
    assert turn.startswith("Turn to: Poison Help")
    assert "poison-help" in reply.refer


def test_forty_entries_can_be_asked_for(desk: Desk) -> None:
    """The list covers at least forty entries, each with a line of several words."""
    lines = desk.base.foreign["es"].lines
    assert len({entry for entry, _ in lines}) >= 40
    assert all(len(line) >= 3 for _, line in lines)


def test_accents_and_endings_do_not_count() -> None:
    """Words that differ in accents, number or gender have one stem."""
    assert stems("crisálidas arrugadas") == stems("crisalida arrugado")


def test_an_unknown_entry_is_named(tmp_path: Path) -> None:
    """A list that names an entry that is not there is refused with its line."""
    (tmp_path / "asked-es.yml").write_text("asked:\n  no-such: |\n    algo de comer\n", encoding="utf-8")
    with pytest.raises(BadContent) as caught:
        load_foreign(tmp_path, ["es", "fr"], ["life-span"])
    assert caught.value.line == 2
