"""The words that makers put above columns and beside parts, and what they may mean.

Collected from makers' lists in several languages (common practice, no source). A word can stand for
several roles; what stands in the column decides.
"""

from __future__ import annotations

import re
from functools import lru_cache

_ROLES: dict[str, str] = {
    "ref": """
        designator:1 designators:1 ref:1 refs:1 reference:1 references:1 refdes:1 reference
        designator:1 reference designators:1 ref des:1 ref designator:1 part reference:.9
        part ref:.9 place:.6 places:.6 symbol:.5 label:.6 parts:.7 part:.5 name:.4 names:.4 component:.5
        components:.6 part name:.4 where:.4 where used:.5 used in:.4 location:.4 locations:.4 position:.3 pos:.4
        index:.25 id:.25 part number:.4 part no:.4 identifier:.6 placement:.5 cmp:.4 bauteil:.5
        bauteile:.6 bezeichner:.9 referenz:1 bauteilname:.7 bauteilnummer:.6 kennung:.7
        bez:.5 repère:.9 repere:.9 référence:.9 références:.9 repères:.9 composant:.5
        composants:.5 referencia:1 referencias:1 designador:1 designadores:1 componente:.5
        componentes:.5 referência:1 riferimento:1 riferimenti:1 sigla:.8 aanduiding:.9
        onderdeel:.5 oznaczenie:1 oznaczenia:1 označení:1 součástka:.5 обозначение:1 поз.
        обозначение:1 позиционное обозначение:1 部品番号:.8 記号:.9 リファレンス:1 部品:.5 位号:1 标号:1 編號:.7
        编号:.7 参照:.8 beteckning:.9 betegnelse:.9 tunnus:.9""",
    "value": """
        value:1 val:1 values:1 value text:1 wert:1 werte:1 wert/typ:1 wert typ:1 valeur:1
        valeurs:1 valor:1 valores:1 valore:1 valori:1 waarde:1 waarden:1 hodnota:1 wartość:1
        wartosc:1 номинал:1 значение:.9 値:1 定数:1 值:1 参数:.9 型号:.6 部品名:.7 品名:.6 品番:.5 型番:.6
        comment:.6 comments:.3 designation:.6 désignation:.5 component:.4 part:.4 parts:.2
        part (marking):.8 type/value:.9 type value:.8 value/type:1 value type:1 value / part
        number:1 value / model number:1 value/part number:1 param:.6 parameter:.6
        parameters:.5 type:.4 typ:.5 tipo:.4 тип:.5 rating:.3 spec:.4 component value:1 part
        value:1 model:.4 model number:.4 part no:.35 part number:.35 part type:.3 värde:1 verdi:1 arvo:1
        description:.2 name:.2 item:.2 device:.15 component name:.3 resistance:.8
        capacitance:.8 bezeichnung:.2""",
    "quantity": """
        qty:1 quantity:1 qnty:1 quant:1 qtty:1 quantities:1 count:.9 amount:.9 number:.4
        no:.3 pcs:1 pieces:.9 pc:.8 each:.6 need:.6 needed:.7 total qty:.9 qty per pcb:1
        quantity per pcb:1 qty per board:1 number of parts:.9 number required:.9 anzahl:1
        menge:1 stück:1 stk:1 stückzahl:1 anz:1 nombre:.7 nb:.8 qté:1 quantité:1 qte:1
        cantidad:1 cant:1 quantidade:1 qtd:1 quantità:1 q.tà:1 aantal:1 počet:1 ks:.8
        ilość:1 szt:.9 кол-во:1 количество:1 кол:.9 数量:1 個数:1 員数:1 用量:1 antal:1 antall:1
        kpl:.8 x:.2 used:.4""",
    "description": """
        description:1 desc:1 descr:1 descriptions:1 type/description:1 part description:1
        component description:1 details:.8 specs:.8 specification:.8 specifications:.8
        properties:.9 device:.6 device name:.6 cmp name:.6 libpart:.6 lib part:.6 part
        type:.7 component type:.7 bezeichnung:.8 beschreibung:1 bemerkung:.2 descripción:1
        descripcion:1 descrição:1 descrizione:1 omschrijving:1 popis:1 opis:1 описание:1
        наименование:.7 説明:1 描述:1 品名:.4 仕様:.8 libref:.5 name:.3 part:.2 item:.3 function:.6
        funktion:.6 désignation:.6 title:.3 beskrivning:1 beskrivelse:1""",
    "kind": """
        kind:1 type:.6 category:.9 class:.8 part type:.6 component type:.7 typ:.4 art:.8
        tipo:.5 type de composant:.8 種類:1 类型:.8 类别:.9 bauteil:.3 bauteilart:1 part:.2
        component:.3 family:.5 group:.3""",
    "package": """
        package:1 packages:1 footprint:1 footprints:1 case:.9 housing:.8 pattern:.8 size:.6
        gehäuse:1 bauform:1 boîtier:1 boitier:1 empreinte:1 encapsulado:1 huella:1
        contenitore:.9 behuizing:1 pouzdro:1 obudowa:1 корпус:1 パッケージ:1 封装:1 フットプリント:1
        raster:.5 pitch:.5 package/case:1 package type:1 case/package:1 kapsel:.8 pcb
        footprint:1""",
    "tolerance": "tolerance:1 tol:1 toleranz:1 tolérance:1 tolerancia:1 tolleranza:1 公差:1 許容差:1",
    "voltage": "voltage:1 voltage rating:1 working voltage:1 spannung:1 tension:.9 voltaje:1 耐圧:1 电压:1",
    "marking": """
        marking:1 markings:1 code:.6 colour code:1 color code:1 colour bands:1 color bands:1
        bands:.8 marked:.8 aufdruck:1 farbcode:1 colour:.4 color:.4 印:.6 カラーコード:1 表示:.6
        marquage:1""",
    "note": """
        note:1 notes:1 remark:1 remarks:1 comment:.5 comments:.8 bemerkung:1 bemerkungen:1
        anmerkung:1 anmerkungen:1 kommentar:.8 remarque:1 remarques:1 commentaire:.8 nota:1
        notas:1 observaciones:1 备注:1 備考:1 примечание:1 uwagi:1 poznámka:1 opmerking:1
        opmerkingen:1 options:.6 info:.7""",
    "dnp": """
        dnp:1 dnf:1 dni:1 do not populate:1 do not fit:1 do not place:1 not fitted:1
        exclude:.5 exclude from board:.6 nc:.4 optional:.6""",
    "board": "board:1 board name:1 pcb:.8 platine:1 leiterplatte:1 carte:.8 placa:.8 基板:1 module:.5",
    "section": "section:1 sheet:.6 group:.6 block:.7 circuit:.6 sheetpath:.6 schematic sheet:.7 stage:.6",
    "number": """
        item:1 items:.6 #:1 no:.8 nr:.9 num:.7 lfd:1 lfd nr:1 pos:.7 position:.4 №:1 n°:1
        nº:1 index:.8 id:.9 line:.9 row:.9 s no:1 sl no:1 sr no:1 line item:.9 番号:.7 序号:1
        序號:1 item number:.9 component:.2 n:.5""",
    "x": """
        x:1 posx:1 pos x:1 mid x:1 center-x(mm):1 center x:1 center-x:1 midx:1 ref-x:.9 x
        (mm):1 x(mm):1 x mm:1 x pos:1 position x:1 x-pos:1 ref x:.9 centroid x:1 xpos:1 x
        [mm]:1 x-coordinate:1 x coordinate:1""",
    "y": """
        y:1 posy:1 pos y:1 mid y:1 center-y(mm):1 center y:1 center-y:1 midy:1 ref-y:.9 y
        (mm):1 y(mm):1 y mm:1 y pos:1 position y:1 y-pos:1 ref y:.9 centroid y:1 ypos:1 y
        [mm]:1 y-coordinate:1 y coordinate:1""",
    "rotation": "rotation:1 rot:1 angle:1 orientation:.8 drehung:1 winkel:.9 theta:.9 r:.3 ang:.8",
    "side": "side:1 layer:1 board side:1 seite:1 lage:.7 tb:.8 top/bottom:1 face:.6 mirror:.4",
    "library": "device:.5 device name:.5 cmp name:.5 libpart:.5 lib part:.5 libref:.5",
    "unit": "unit:1 units:1 einheit:1 unité:1 unidad:1 unità:1 eenheid:1 enhet:1 jednotka:1 jednostka:1",
    "part number": "part no:.3 part number:.3",
    "type number": """
        mpn:1 manufacturer part number:1 manufacturer part:1 mfr part:1 mfr part number:1 mfg part:1
        mfg part number:1 mfr part no:1 mfg part#:1 mfr part#:1 manufacturer part #:1 manu part:1
        manufacturer no:1 herstellernummer:1""",
    "order number": """
        order number:1 order no:1 order code:1 ordering code:1 mpn:1 manufacturer part number:1
        manufacturer part:1 mfr part:1 part #:.6 p/n:.6 pn:.6 bestellnummer:1 bestellnr:1 best.-nr:1
        bestell-nr:1 artikelnummer:1 artikelnr:1 art.-nr:1 supplier part:1 part no:.4 part number:.4""",
    "seller": """
        vendor:.1 supplier:.1 suppliers:.1 distributor:.1 shop:.1 store:.1 price:.1 unit price:.1 total price:.1
        cost:.1 unit cost:.1 preis:.1 lieferant:.1 prix:.1 fournisseur:.1""",
    "fitted": """
        fitted:1 fit:.9 populate:1 populated:1 assemble:.9 assembled:1 mounted:1 stuff:.9 install:.8
        installed:.9 bestückt:1 bestückung:.9 bestuckt:1 monté:.9""",
    "other": """
        manufacturer:1 mfr:1 mfg:1 maker:.8 brand:1 manufacturer part number:1 manufacturer
        part:1 mpn:1 vendor:1 supplier:1 suppliers:1 distributor:1 sku:1 datasheet:1
        datasheets:1 url:1 link:1 links:1 price:1 unit price:1 total price:1 cost:1 unit
        cost:1 total:.8 subtotal:1 stock:1 order code:1 order number:1 order no:1 part #:.8
        p/n:.9 pn:.8 library:1 lib:1 lieferant:1 hersteller:1 preis:1 bestellnummer:1
        bestellnr:1 best.-nr:1 fournisseur:1 prix:1 fabricant:1 proveedor:1 precio:1
        fabricante:1 fornitore:1 prezzo:1 leverancier:1 prijs:1 dodavatel:1 cena:1 цена:1
        価格:1 単価:1 金額:1 購入先:1 メーカー:1 供应商:1 价格:1 制造商:1 image:1 picture:1 where:1 buy:.9
        from:.6 order:.8 photo:1 check:.9 done:.9 got:.8 have:.8 in stock:1 where to buy:1
        suggested supplier:1 supplier and ref:1 cad:.6 store:.8 shop:.9 alternative:.7
        alternatives:.7 substitute:.7 weight:.8 rohs:1 lifecycle:1 minimum order:1 moq:1
        currency:1 ext price:1 ext. price:1 source:.7 ordering code:1 attributes:.4
        checked:.9 ☐:1 ✓:1""",
}
_OTHER_WORDS = frozenset(
    """
    manufacturer mfr mfg mpn vendor supplier distributor sku datasheet url link price cost order ordering
    stock hersteller lieferant fournisseur shop store lagernummer
    """.split()  # noqa: SIM905
)
_SHOP_NUMBER = re.compile(
    r"(?!part|component|item|ref|the )\S.* (?:part|p/n|pn|order|article) ?(?:#|no|nr|number|code)?"
)
"""A number that some shop gives: its name first."""
_WORD_SPLIT = re.compile(r"[\s/]+")
_BESIDE_VALUE = re.compile(r"([^/]+?) ?/ ?value|value ?/ ?([^/]+)")
"""A heading of values that calls them something else too."""
_BRACKET = re.compile(r"[(\[][^)\]]*[)\]]")
_ENTRY = re.compile(r"(\S.*?):([.0-9]+)(?=\s|$)", re.DOTALL)


def _vocabulary() -> dict[str, dict[str, float]]:
    book: dict[str, dict[str, float]] = {}
    for role, text in _ROLES.items():
        for found in _ENTRY.finditer(text):
            word = " ".join(found[1].split())
            book.setdefault(word, {})[role] = float(found[2])
    return book


VOCABULARY = _vocabulary()
"""Heading, in lower case -> the roles it may stand for, each with a weight from 0 to 1."""


@lru_cache(maxsize=4096)
def heading_roles(text: str) -> dict[str, float]:
    """The roles that a column's heading may stand for, with weights; empty for a word nobody uses.

    >>> heading_roles("Reference(s)"), heading_roles("Shop Z Part #"), heading_roles("Volume")
    ({'ref': 1.0}, {'other': 1.0}, {})
    """
    if not text or len(text) > 60 or text.isdecimal():
        return {}
    plain = " ".join(text.casefold().replace("_", " ").split()).strip(" :*.'\"’")
    for form in (
        plain,
        plain.rstrip("."),
        _BRACKET.sub("", plain).strip(),
        plain.replace("(s)", "s"),
        plain.rstrip("# "),
    ):
        if form in VOCABULARY:
            return VOCABULARY[form]
    if beside := _BESIDE_VALUE.fullmatch(plain):
        return {role: 0.5 * weight for role, weight in heading_roles(beside[1] or beside[2]).items()} | {
            "value": 0.9
        }
    words = [word.strip("#:.,()/") for word in _WORD_SPLIT.split(plain)]
    words = [word for word in words if len(word) > 1]
    if any(word in _OTHER_WORDS for word in words) or _SHOP_NUMBER.fullmatch(plain):
        return {"other": 1.0}
    if len(words) > 4:
        return {}
    found: dict[str, float] = {}
    for word in words if len(words) > 1 else ():
        for role, weight in VOCABULARY.get(word, {}).items():
            found[role] = max(found.get(role, 0.0), weight * 0.6)
    return found


_HARDWARE = re.compile(
    r"""(?<![^\W_])(?:
    screws?|nuts?|bolts?|washers?|spacers?|stand-?offs?|knobs?|feet|foot|pcbs?|circuit\ boards?|enclosures?|box
    |housing|front\ ?panels?|face\ ?plates?|panels?|heat\ ?-?sinks?|sockets?|hardware|wires?|cables?|solder
    |misc(?:ellaneous)?|other|batter(?:y|ies)|clips?|manual|stickers?|bags?|glue|tape|mounting|rails?|brackets?
    |total|subtotal|sum|totals|schrauben?|muttern?|abstands\w*|scheiben?|knopf|knöpfe|gehäuse|leiterplatten?
    |platinen?|sockel|ic-sockel|fassung|kabel|draht|frontplatte|summe|gesamt|kleinteile|vis|écrous?|entretoises?
    |boutons?|boîtier|tornillos?|tuercas?|separador(?:es)?|perillas?|circuit\ imprimé|placa|zócalos?|viti?|dadi
    |distanziali?|manopol[ae]|moer(?:en)?|schroef|schroeven|afstandsbus(?:sen)?|knop(?:pen)?|n/?a|none|tbd|nil
    )(?![^\W_])
    |ねじ|ネジ|ナット|スペーサ|ゴム足|ワッシャ|基板|つまみ|ケース|ソケット|ケーブル|螺丝|螺母|外壳|铜柱""",
    re.IGNORECASE | re.VERBOSE,
)
_PLAIN_WORDS = frozenset(
    """
    a all an and any are as at by each for from if in is it make not note notes of on only or part parts
    please see set some that the then these this to use used using values with without you your alle der die
    das und siehe mit resistor resistors capacitor capacitors diode diodes transistor transistors ic ics
    semiconductors inductors coils switches connectors jacks pots potentiometers misc others other
    widerstände kondensatoren dioden transistoren halbleiter sonstiges designator ref value qty source date
    tool comment page sheet item name
    """.split()  # noqa: SIM905
)
_BOARD = re.compile(
    r"(?<![^\W_])(?:[\w-]*(?:board|pcb|platine|leiterplatte|plaatje|printplaat|基板)|circuit imprimé|carte"
    r"|placa|scheda|плата|płytka|deska)s?(?![^\W_])",
    re.IGNORECASE,
)
_NOT_A_BOARD = re.compile(
    r"bill of|bom\b|parts? ?list|stückliste|mount|kit|\b(?:for|per|see|on|the|this|each|order|price|of)\b"
    r"|:\s*\S",
    re.IGNORECASE,
)
_TOTAL = re.compile(
    r"^\W*(?:(?:sub|grand )?totals?|sum|summe|gesamt(?:summe)?|total[e]?s?|合計|合计|итого|celkem|razem|totaal"
    r"|(?:total|number of|component|part) (?:parts?|components?|count|pieces|pcs|quantity|qty)(?: count)?)\b",
    re.IGNORECASE,
)


_CHARGE = re.compile(
    r"\W*(?:shipping|postage|handling|versand(?:kosten)?|porto|vat|mwst|(?:sales )?tax|frais de port|送料)"
    r"\b.{0,20}",
    re.IGNORECASE,
)
_CREDIT = re.compile(
    r"\W*(?:(?:with |many )*thanks|credits?|acknowledge?ments?|thank you|danke|dank an|merci|gracias|licen[cs]e"
    r"|licensed|lizenz|contact|kontakt|impressum|imprint|copyright|©|authors?|changelog|change log"
    r"|revision history|versions?|regards|p\.?s\.)(?![^\W_])",
    re.IGNORECASE,
)
_UNIT = re.compile(r"[(\[/]\s*([pnuµμmkM]?(?:F|H|Ω|ohms?|R))\s*[)\]]?")


def unit_in_heading(text: str) -> str:
    """The unit that a heading of a column of values states.

    >>> unit_in_heading("Value (pF)"), unit_in_heading("Value")
    ('pF', '')
    """
    found = _UNIT.search(text)
    return found[1] if found and heading_roles(text) else ""


def is_hardware(text: str) -> bool:
    """Whether words name hardware, a total or nothing at all rather than a part with a designator.

    >>> is_hardware("IC Socket"), is_hardware("GAIN")
    (True, False)
    """
    return len(text) < 200 and bool(_HARDWARE.search(text))


def is_plain_word(text: str) -> bool:
    """Whether a word is one of running text or of headings, which no part is named after."""
    return text.casefold().strip(" .:,") in _PLAIN_WORDS and text not in ("ON", "IN")


def names_a_board(text: str) -> bool:
    """Whether a heading names one of several boards: `Main board`, `PCB 2`, `Control PCB:`.

    >>> names_a_board("Main board"), names_a_board("Resistors"), names_a_board("Parts for the board")
    (True, False, False)
    """
    plain = text.strip(" :#*-=")
    if not plain or len(plain) > 50 or len(plain.split()) > 5:
        return False
    return bool(_BOARD.search(plain)) and not _NOT_A_BOARD.search(plain)


def is_credit(text: str) -> bool:
    """Whether a line, or the heading of a section, is about people and rights and not about parts.

    >>> is_credit("Thanks to the K9 club"), is_credit("Credits"), is_credit("Thermistor")
    (True, True, False)
    """
    return bool(_CREDIT.match(text[:80]))


def is_charge(text: str) -> bool:
    """Whether a line is about what was paid beside the parts: postage, tax.

    >>> is_charge("Shipping"), is_charge("VAT 20 %"), is_charge("VATE")
    (True, True, False)
    """
    return bool(_CHARGE.fullmatch(text[:80]))


def is_total(text: str) -> bool:
    """Whether a line states a total."""
    return bool(_TOTAL.match(text[:80]))


def stated_total(text: str) -> int | None:
    """The number of parts that a line like `Component Count: 76` states, or None."""
    if len(text) > 120 or not is_total(text):
        return None
    numbers = [int(number) for number in re.findall(r"(?<![\w.,])[0-9]{1,5}(?![\w.,])", text)]
    return numbers[0] if len(numbers) == 1 else None


_NOT_FITTED = re.compile(
    r"""(?<![^\W_])(?:
    dnp|dnf|dni|dns|do\ not\ (?:fit|pop\w*|place|install|stuff|mount|solder)|unpopulated|no\ ?fit|no\ ?pop
    |not\ (?:fitted|populated|placed|installed|used|mounted)|omit(?:ted)?|leave\ (?:out|empty)
    |nicht\ best[üu]ck(?:t|en)|entf[äa]llt|non\ mont[ée]|no\ montar|ne\ monter\ pas|未実装|不贴
    )(?![^\W_])""",
    re.IGNORECASE | re.VERBOSE,
)
_OPTIONAL = re.compile(
    r"(?<![^\W_])(?:optional(?:ly)?|opt\.|if needed|wahlweise|facultatif|opcional|optioneel)", re.IGNORECASE
)
_NOTHING = re.compile(r"(?:n/?a|none|nil|--?|—|na|nc|n\.?c\.?|x|unknown|\(unknown\))\.?", re.IGNORECASE)


@lru_cache(maxsize=4096)
def not_fitted(text: str) -> bool:
    """Whether a text says that the part stays out.

    >>> not_fitted("DNP"), not_fitted("27k / (omit)"), not_fitted("10k")
    (True, True, False)
    """
    return bool(_NOT_FITTED.search(text[:200]))


@lru_cache(maxsize=4096)
def is_optional(text: str) -> bool:
    """Whether a text leaves the part to the builder."""
    return bool(_OPTIONAL.search(text[:200]))


def says_nothing(text: str) -> bool:
    """Whether a value stands for no value: `n/a`, `none`, `-`."""
    return bool(_NOTHING.fullmatch(text.strip()))
